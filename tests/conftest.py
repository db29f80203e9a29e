"""What every test may ask for."""

from __future__ import annotations

import pytest


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--accept-pictures",
        action="store_true",
        help="take the pictures as drawn now for the golden ones (look at them before committing)",
    )
    parser.addoption(
        "--accept-reports",
        action="store_true",
        help="take the reports of wrong scenes as they are now (read them before committing)",
    )


@pytest.fixture
def is_accepting_pictures(request: pytest.FixtureRequest) -> bool:
    return bool(request.config.getoption("--accept-pictures"))

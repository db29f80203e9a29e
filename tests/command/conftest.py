"""What the tests of the command share."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.command.running import CLAIMS, QUICK


@pytest.fixture
def piece(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = tmp_path / "quick.yaml"
    path.write_text(QUICK + CLAIMS, "utf-8")
    monkeypatch.chdir(tmp_path)
    return path

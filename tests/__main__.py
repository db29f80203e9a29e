"""``python -m tests``: style, types and the fast tests, stopping at the first that fails.

``--all`` adds the slow and the random ones; ``--slow`` runs only those.
"""

import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent.parent
PYTEST = ["pytest", "-q", "-n", "2", "--dist", "worksteal"]
STYLE = [["ruff", "check", "."], ["ruff", "format", "--check", "."], ["mypy"]]
FAST = [[*PYTEST, "-m", "not slow and not fuzz"]]
SLOW = [[*PYTEST, "-m", "slow or fuzz"]]


def main(words: list[str]) -> int:
    if words == ["--slow"]:
        commands = SLOW
    elif words == ["--all"]:
        commands = STYLE + FAST + SLOW
    elif not words:
        commands = STYLE + FAST
    else:
        sys.exit("usage: python -m tests [--all | --slow]")
    for command in commands:
        print("$", *command, flush=True)
        code = subprocess.run(
            [sys.executable, "-m", *command], cwd=HERE, check=False
        ).returncode
        if code:
            return code
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

import subprocess
import sys

TRIAL = """
import sys
sys.modules["skia"] = None  # as where the system's libraries aren't there: the import fails
from animator.problems import RunError
try:
    import animator.pictures.film
except RunError as trouble:
    print(trouble)
"""


def test_missing_system_libraries_are_told_in_one_sentence_with_the_line_to_type():
    done = subprocess.run(
        [sys.executable, "-c", TRIAL], capture_output=True, text=True, check=True
    )
    assert done.stdout.count("\n") == 1
    assert "apt-get install libegl1 libgl1" in done.stdout

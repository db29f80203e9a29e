"""``python -m animator``: the same as the command ``animator``."""

from animator.cli import main

if __name__ == "__main__":
    main()

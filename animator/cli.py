"""The command ``animator``: reads arguments, calls the program, prints. What isn't needed to read the arguments is loaded late."""

from __future__ import annotations

import os
import sys
import traceback
from collections.abc import Sequence
from typing import NoReturn

import click

import animator
from animator.commands import commands
from animator.commands._common import DONE, OUR_FAULT, REFUSED
from animator.problems import RunError, SceneError


def main() -> NoReturn:
    """Run the command and end with its exit code: 0 done, 1 done but the piece has a fault, 2 refused, 3 our own fault."""
    sys.exit(_run(sys.argv[1:]))


def _run(words: Sequence[str]) -> int:
    try:
        code = commands.main(args=list(words), prog_name="animator", standalone_mode=False)
        sys.stdout.flush()
        return code if isinstance(code, int) else DONE
    except SceneError as error:
        _complain(str(error))
    except RunError as error:
        _complain(str(error))
    except click.UsageError as error:
        path = error.ctx.command_path if error.ctx is not None else "animator"
        _complain(f"{error.format_message()}\n'{path} --help' shows how it is used")
    except click.ClickException as error:
        _complain(error.format_message())
    except (click.Abort, KeyboardInterrupt):
        _complain("stopped")
    except BrokenPipeError:
        # whoever was reading has gone, so what is left to say goes nowhere
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except Exception:
        _complain(
            f"This is our own fault, not yours: animator {animator.__version__} has stumbled. What follows tells us where; please send it with the scene.\n"
        )
        traceback.print_exc()
        return OUR_FAULT
    return REFUSED


def _complain(text: str) -> None:
    click.echo(text, err=True)

"""The console command `season`: arguments in, one room called, a sentence and an exit code out."""

from __future__ import annotations

import os
import sys

from kit.cli.acts import CANNOT_GO_ON, STOPPED, UNHEARD
from kit.cli.parser import parser
from kit.errors import KitError


def main(arguments: list[str] | None = None) -> int:
    """Run one command.

    Parameters
    ----------
    arguments : list of str, optional
        As typed after `season`; the process's own when left out.

    Returns
    -------
    int
        The exit code: see `kit.cli.acts`.
    """
    commands = parser()
    if "_ARGCOMPLETE" in os.environ:
        from kit.cli.completion import complete

        complete(commands)
    given = commands.parse_args(arguments)
    try:
        code = int(given.act(given))
        sys.stdout.flush()
    except KitError as error:
        print(f"season: {error}", file=sys.stderr)
        return CANNOT_GO_ON
    except KeyboardInterrupt:
        print("season: stopped; what was finished is whole, run again to go on", file=sys.stderr)
        return STOPPED
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # what is left to say is said to nobody
        return UNHEARD
    return code

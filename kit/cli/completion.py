"""What the shell offers at the tab key: commands, options, folders, and the apiaries of the folder typed."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

import argcomplete
from argcomplete.completers import DirectoriesCompleter

from kit.cli.acts import today


def complete(commands: argparse.ArgumentParser) -> None:
    """Answer the shell and leave, when it asks."""
    for command in _each(commands):
        for action in command._actions:
            _offer(action)
    argcomplete.autocomplete(commands)


def apiaries(parsed_args: argparse.Namespace, **_: Any) -> list[str]:
    """Ids of the apiaries in the folder typed so far; none where it cannot be read."""
    from kit.errors import KitError
    from kit.records.load import load

    try:
        return list(load(Path(parsed_args.folder), today=today()).apiaries)
    except (KitError, OSError, AttributeError, TypeError):
        return []


def _each(commands: argparse.ArgumentParser) -> list[argparse.ArgumentParser]:
    subs = [action for action in commands._actions if isinstance(action, argparse._SubParsersAction)]
    return [command for sub in subs for command in sub.choices.values()]


def _offer(action: Any) -> None:
    if action.dest in ("folder", "out"):
        action.completer = DirectoriesCompleter()
    elif action.dest == "apiary":
        action.completer = apiaries

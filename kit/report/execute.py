"""Notebooks executed with papermill: each in a process of its own, in its own folder, written whole or not at all."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import nbformat
from jupyter_core.utils import ensure_event_loop

import kit
from kit.errors import CannotGoOnError, KitError
from kit.report.write import cannot_write, write_text

if TYPE_CHECKING:
    from papermill.exceptions import PapermillExecutionError

PACKAGE = Path(kit.__file__).parent
T = TypeVar("T")
Parameter = str | int | float | bool

_nbformat: Any = nbformat  # ships without types


@cache
def _papermill() -> Any:
    """Papermill, once a notebook is to be executed: it takes longer to load than all else."""
    import papermill

    return papermill


class NotebookFailedError(KitError):
    """A notebook stopped with an error; the notebook as far as it came is kept."""


def source(name: str) -> Path:
    """The source notebook of that name, in a checkout or in an installed wheel.

    Raises
    ------
    CannotGoOnError
        When neither holds it.
    """
    for folder in (PACKAGE.parent / "notebooks", PACKAGE / "notebooks"):
        path = folder / f"{name}.ipynb"
        if path.is_file():
            return path
    raise CannotGoOnError(f"notebook {name} is not installed; install the kit again")


def execute(name: str, target: Path, parameters: Mapping[str, Parameter]) -> nbformat.NotebookNode:
    """Run a source notebook and keep it executed at `target`.

    Parameters
    ----------
    name : str
        Of the source notebook.
    target : Path
        Where the executed notebook goes; it runs in that folder.
    parameters : mapping
        Values for its parameters cell.

    Returns
    -------
    NotebookNode
        The executed notebook.

    Raises
    ------
    CannotGoOnError
        On a parameter that the notebook does not know, before anything is run.
    NotebookFailedError
        When a cell stopped with an error.
    """
    refuse_unknown(name, parameters)
    try:
        book, failed = _executed(name, target, parameters)
    except OSError as error:
        raise cannot_write(target, error) from error
    write_text(target, _nbformat.writes(stripped(book)) + "\n")
    if failed:
        raise NotebookFailedError(f"{failed.ename}: {failed.evalue}") from failed
    return book


def _executed(
    name: str, target: Path, parameters: Mapping[str, Parameter]
) -> tuple[nbformat.NotebookNode, PapermillExecutionError | None]:
    part = target.with_name(f".{target.stem}.part.ipynb")
    failed: PapermillExecutionError | None = None
    stopped: type[PapermillExecutionError] = _papermill().exceptions.PapermillExecutionError
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        try:
            _run(source(name), part, parameters, target.parent)
        except stopped as error:
            failed = error
        return read_notebook(part), failed
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)


def read_notebook(path: Path) -> nbformat.NotebookNode:
    """An executed notebook."""
    book: nbformat.NotebookNode = _nbformat.read(path, as_version=4)
    return book


def refuse_unknown(name: str, parameters: Mapping[str, Parameter]) -> None:
    """Refuse a parameter that the notebook does not know; papermill itself would only log it.

    Raises
    ------
    CannotGoOnError
        Naming the unknown and the known ones.
    """
    known = parameters_of(name)
    unknown = [p for p in parameters if p not in known]
    if unknown:
        raise CannotGoOnError(f"notebook {name} has no parameter {', '.join(unknown)}; it knows: {', '.join(known)}")


@cache
def parameters_of(name: str) -> tuple[str, ...]:
    """Names of the parameters of a source notebook."""
    return tuple(_papermill().inspect_notebook(str(source(name))))


def stripped(book: nbformat.NotebookNode) -> nbformat.NotebookNode:
    """The notebook without papermill's paths and clocks, and without local paths in a traceback; changed in place."""
    book.metadata.pop("papermill", None)
    for cell in book.cells:
        cell.metadata.pop("papermill", None)
        cell.metadata.pop("execution", None)
        for output in cell.get("outputs", []):
            if output.output_type == "error":
                output.traceback = [_without_places(line) for line in output.traceback]
                output.evalue = _without_places(output.evalue)
    return book


def _without_places(text: str) -> str:
    for place in (str(PACKAGE.parent), str(Path.home())):
        text = text.replace(place, "…")
    return text


def _run(path: Path, target: Path, parameters: Mapping[str, Parameter], folder: Path) -> None:
    # The kernel's folder goes through `resources`: papermill's own `cwd` changes that of the whole process,
    # which threads share.
    settings: dict[str, Any] = {
        "kernel_name": "python3",
        "progress_bar": False,
        "request_save_on_cell_execute": False,
        "autosave_cell_every": 0,
        "shutdown_kernel": "immediate",
        "extra_arguments": ["--IPKernelApp.log_level=40"],
        "resources": {"metadata": {"path": str(folder)}},
    }
    in_own_loop(lambda: _papermill().execute_notebook(str(path), str(target), parameters=dict(parameters), **settings))


def in_own_loop(action: Callable[[], T]) -> T:
    """The action in a thread with an event loop of its own, closed after it.

    The client of a kernel opens a loop in its thread and leaves it open, and cannot share one that already runs.
    """

    def act() -> T:
        loop = ensure_event_loop()
        try:
            return action()
        finally:
            loop.close()

    with ThreadPoolExecutor(1) as thread:
        return thread.submit(act).result()

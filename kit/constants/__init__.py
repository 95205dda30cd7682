"""Every number the kit leans on, with its unit, range, grade and source: one module for each subject.

`all_constants` gathers them for the printed table and for the tests that tie numbers to sources.
"""

from importlib import import_module
from pkgutil import iter_modules

from kit.constants.constant import Constant

__all__ = ["Constant", "all_constants"]


def all_constants() -> dict[str, Constant]:
    """Every constant of every subject, by `subject.NAME`; those that a tuple alone holds by `subject.NAME_1`, `_2` …

    Returns
    -------
    dict
        Sorted by subject, in the order written within it.
    """
    found: dict[str, Constant] = {}
    for module in sorted(info.name for info in iter_modules(__path__) if info.name != "constant"):
        values = vars(import_module(f"{__name__}.{module}"))
        named = {f"{module}.{name}": value for name, value in values.items() if isinstance(value, Constant)}
        rows = {name: value for name, value in values.items() if isinstance(value, tuple) and name[0] != "_"}
        inside = {f"{module}.{name}_{n}": one for name, row in rows.items() for n, one in enumerate(row, 1)}
        known = set(map(id, named.values()))
        found |= named | {n: one for n, one in inside.items() if isinstance(one, Constant) and id(one) not in known}
    return found

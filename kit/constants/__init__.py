"""Every number the kit leans on, with its unit, range, grade and source: one module for each subject.

`all_constants` gathers them for the printed table and for the tests that tie numbers to sources.
"""

from importlib import import_module
from pkgutil import iter_modules

from kit.constants.constant import Constant

__all__ = ["Constant", "all_constants"]


def all_constants() -> dict[str, Constant]:
    """Every constant of every subject, by `subject.NAME`.

    Returns
    -------
    dict
        Sorted by subject, in the order written within it.
    """
    found: dict[str, Constant] = {}
    for module in sorted(info.name for info in iter_modules(__path__) if info.name != "constant"):
        values = vars(import_module(f"{__name__}.{module}"))
        found |= {f"{module}.{name}": value for name, value in values.items() if isinstance(value, Constant)}
    return found

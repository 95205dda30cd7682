"""What can go wrong, by who can mend it."""


class KitError(Exception):
    """Anything the kit says on purpose; its text is one clear sentence and what to do."""


class CannotGoOnError(KitError):
    """The run as a whole cannot go on (exit code 2): no folder, no records, a place not ours to write in."""


class ValidityError(KitError, ValueError):
    """A value outside the range a formula or a source holds for."""

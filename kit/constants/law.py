"""What a medicine record must hold, by jurisdiction, as far as the texts were read. Law and inspector decide."""

from dataclasses import dataclass
from typing import NamedTuple

from kit.constants.constant import Constant

KEEP_YEARS = Constant(
    5, "years", 5, 5, "vmr2013", "defined", "read", "From administration or disposal, not from purchase; eu2019_6 too."
)


class Field(NamedTuple):
    """One thing that a line of the record must hold.

    Parameters
    ----------
    column : str
        Column of the record that holds it.
    title : str
        What it is, as it reads after "missing:".
    where : str
        Where it can be found when it is missing.
    """

    column: str
    title: str
    where: str


@dataclass(frozen=True, slots=True)
class Regulation:
    """The rules that a medicine record follows.

    Parameters
    ----------
    title : str
        Its name, and the version that was read.
    source : str
        A key of `kit.sources.SOURCES`.
    keep_rule : str
        From what day, and how long, the record is kept.
    acquisition, administration, disposal : tuple of Field
        What each kind of line must hold.
    """

    title: str
    source: str
    keep_rule: str
    acquisition: tuple[Field, ...]
    administration: tuple[Field, ...]
    disposal: tuple[Field, ...]

    def fields(self, entry: str) -> tuple[Field, ...]:
        """What a line of that kind (acquisition, administration, disposal) must hold."""
        return {
            "acquisition": self.acquisition,
            "administration": self.administration,
            "disposal": self.disposal,
        }[entry]


_TUB, _RECEIPT = "on the tub or packet", "on the receipt or the delivery note"
_PRODUCT = Field("product", "name of the product", _TUB)
_BATCH = Field("batch", "batch", _TUB)
_BOUGHT = Field("quantity", "quantity bought", _RECEIPT)
_SUPPLIER = Field("supplier", "supplier", _RECEIPT)
_ADDRESS = Field("supplier_address", "supplier's address", _RECEIPT)
_EVIDENCE = Field("evidence", "proof of purchase", "file the receipt and write down where it lies")
_GIVEN = Field("quantity", "quantity given", "dose on the spoon, strip or bottle, times the hives treated")
_ANIMALS = Field("hives", "which or how many hives", "in the notebook of that day")
_WITHDRAWAL = Field("withdrawal_days", "withdrawal period, even when it is zero", "on the label, as a row of `labels`")
_HOW = Field("how_disposed", "how it was disposed of", "on the note of the pharmacy or waste site")
_WHERE = Field("where_disposed", "where it was disposed of", "on the note of the pharmacy or waste site")
_GONE = Field("quantity", "quantity disposed of", "weigh or count what is left before it goes")
_DURATION = Field("date_end", "last day of the treatment", "day the strips or trays came out, as `removed`")
_PRESCRIBER = Field("prescriber", "who prescribed it", "on the prescription")

_UK = Regulation(
    title=(
        "Veterinary Medicines Regulations 2013 (SI 2013/2033), regulations 17 and 19 as made; the amendments of 2024 "
        "(SI 2024/567, Great Britain) list no change to either"
    ),
    source="vmr2013",
    keep_rule="five years from the administration or disposal",
    acquisition=(_PRODUCT, _BATCH, _BOUGHT, _SUPPLIER, _ADDRESS, _EVIDENCE),
    administration=(_PRODUCT, _GIVEN, _ANIMALS, _WITHDRAWAL),
    disposal=(_PRODUCT, _GONE, _HOW, _WHERE),
)

_EU = Regulation(
    title="Regulation (EU) 2019/6, Article 108; national rules may ask for more",
    source="eu2019_6",
    keep_rule="five years from the administration or disposal",
    acquisition=(_PRODUCT, _BOUGHT, _SUPPLIER, _ADDRESS, _EVIDENCE),
    administration=(
        _PRODUCT, _GIVEN, _ANIMALS, _WITHDRAWAL, _DURATION, _SUPPLIER, _ADDRESS, _EVIDENCE, _PRESCRIBER,
    ),
    disposal=(_PRODUCT, _GONE, _HOW, _WHERE),
)  # fmt: skip

_OTHER = Regulation(
    title="no regulation known here: what (EU) 2019/6 and the UK regulations ask for together; ask your authority",
    source="eu2019_6",
    keep_rule="five years from the administration or disposal (assumed: ask your authority)",
    acquisition=_UK.acquisition,
    administration=_EU.administration,
    disposal=_UK.disposal,
)

REGULATIONS: dict[str, Regulation] = {"gb": _UK, "ni": _UK, "eu": _EU, "other": _OTHER}
"""By the words of the setting `jurisdiction`."""

PRESCRIBED_ONLY = frozenset({"prescriber"})
"""Columns asked for only where a vet prescribed the product."""

NOTIFIABLE = frozenset({"gb"})
"""Jurisdictions where mites are notified once for each place (si2021_421)."""

ONLY_AUTHORISED = frozenset({"gb", "ni", "eu"})
"""Jurisdictions where a medicine must be authorised, or prescribed by a vet under the cascade (vmr2013 and eu2019_6,
articles 106 and 113; the articles from memory)."""

COLUMN_OF_TITLE = {
    field.title: field.column
    for regulation in (_UK, _EU)
    for field in (*regulation.acquisition, *regulation.administration, *regulation.disposal)
}
"""The record's column by what is said to be missing."""

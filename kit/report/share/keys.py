"""The key file: what the member keeps so that packs are recognised as one operation's, and are the same bytes again.

It holds a random operation key, which goes into every pack, and a secret, which goes nowhere. An apiary's key in a pack
is drawn with that secret from the pack's own content: without the secret it is as good as random, and no two packs
share one. Packs are numbered in the order in which their contents were first made.
"""

from __future__ import annotations

import hashlib
import hmac
import json
import secrets
from dataclasses import dataclass, replace
from pathlib import Path

from kit.errors import CannotGoOnError
from kit.report.share.form import DEGREE, GRID, NOWHERE, REGION
from kit.report.write import write_text

KEY_FILE = "share_key.json"
SAID = {DEGREE: "squares of degrees", GRID: "squares of the national grid"}
ABOUT = (
    "Keep this file and show it to nobody: it makes your packs recognisable to yourself alone. "
    "Without it your next pack counts as another operation's."
)


@dataclass(frozen=True)
class Keys:
    """One operation's keys.

    Parameters
    ----------
    operation : str
        32 random hexadecimal digits, in every pack.
    secret : str
        64 random hexadecimal digits, in none.
    sent : tuple of str
        Digests of the contents made so far, in order.
    squares : str
        What its packs tell places by; '' while none has told one.
    """

    operation: str
    secret: str
    sent: tuple[str, ...] = ()
    squares: str = ""

    def telling(self, squares: str) -> Keys:
        """These keys when the next pack tells places by such squares.

        Raises
        ------
        CannotGoOnError
            When earlier packs told other squares: both together would place an apiary in the sliver they share.
        """
        if squares == NOWHERE:
            return self
        squares = DEGREE if squares == REGION else squares  # one lies within the other
        if self.squares not in ("", squares):
            raise CannotGoOnError(
                f"your earlier packs told places by {SAID[self.squares]}; with {SAID[squares]} as well, both together "
                f"would tell them more finely than either. Go on with --squares {self.squares}, or none"
            )
        return replace(self, squares=squares)

    def numbered(self, digest: str) -> Keys:
        """These keys with a content among those made."""
        return self if digest in self.sent else replace(self, sent=(*self.sent, digest))

    def number(self, digest: str) -> int:
        """The running number of a content, from 1."""
        return self.numbered(digest).sent.index(digest) + 1

    def apiary(self, digest: str, apiary: str) -> str:
        """The key of an apiary in the pack of that content: 12 hexadecimal digits."""
        text = f"{digest}\0{apiary}".encode()
        return hmac.new(bytes.fromhex(self.secret), text, hashlib.sha256).hexdigest()[:12]


def new_keys() -> Keys:
    """Keys of an operation that has none yet, from the system's source of randomness."""
    return Keys(secrets.token_hex(16), secrets.token_hex(32))


def read_keys(path: Path) -> Keys:
    """The keys in a file, new ones where there is no such file; nothing is written.

    Raises
    ------
    CannotGoOnError
        When the file is not one of ours.
    """
    try:
        held = json.loads(path.read_text(encoding="utf-8"))
        sent = tuple(held["sent"])
        # A file without the entry is from when every pack told degrees.
        keys = Keys(held["operation"], held["secret"], sent, str(held.get("squares", DEGREE if sent else "")))
        if keys.squares not in ("", *SAID):
            raise ValueError("it names squares that are none")
        if len(bytes.fromhex(keys.operation)) != 16 or len(bytes.fromhex(keys.secret)) != 32:
            raise ValueError("a key has the wrong length")
    except FileNotFoundError:
        return new_keys()
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise CannotGoOnError(
            f"{path.name} is not a key file of this kit: {error}; take back your copy of it, or move it away to begin "
            "anew as another operation"
        ) from error
    return keys


def write_keys(path: Path, keys: Keys) -> None:
    """Keep the keys, readable by their owner alone where the system knows owners."""
    marks = {"operation": keys.operation, "secret": keys.secret, "sent": list(keys.sent), "squares": keys.squares}
    write_text(path, json.dumps({"about": ABOUT} | marks, indent=1) + "\n")
    path.chmod(0o600)

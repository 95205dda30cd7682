"""Three invented members: the demo's apiaries dealt out to three keepers, each with a pack of their own."""

from __future__ import annotations

import hashlib

from kit.records.load import load
from kit.report.demo import AS_OF, demo_records, demo_review
from kit.report.share.draft import draft
from kit.report.share.form import LEAST_GROUP, choose
from kit.report.share.keys import Keys
from kit.report.share.member import member_of
from kit.report.share.pack import Pack, pack_of
from kit.report.share.places import places_of
from kit.report.share.pool import pool
from kit.report.share.reading import read_content
from kit.season.findings import OPERATION, Findings, read

MEMBERS = 3


def demo_packs() -> list[Pack]:
    """A pack of each invented member, from the demo's saved review."""
    review = read(demo_review() / "season" / f"{OPERATION}.json")
    records = load(demo_records(), as_of=AS_OF, today=AS_OF)
    sheet = records.tables["apiaries"]
    access = dict(zip(sheet["apiary"].astype(str), sheet["access"].astype(str), strict=True))
    names = list(review.apiary_facts)
    hands = [names[at::MEMBERS] for at in range(MEMBERS)]
    return [pack_of(draft(part_of(review, hand), places_of(records), access, choose()), _keys(hand)) for hand in hands]


def demo_pool() -> Findings:
    """The three pooled, with the smallest group that protects anybody."""
    members = [member_of(read_content(pack.content)) for pack in demo_packs()]
    return pool(members, demo_season(), minimum=LEAST_GROUP)


def demo_season() -> int:
    """The season of the demo."""
    return int(read(demo_review() / "season" / f"{OPERATION}.json").facts["season"])


def part_of(review: Findings, apiaries: list[str]) -> Findings:
    """A review as if these apiaries were all of the operation."""
    tables = {
        name: table[table["apiary"].isin(apiaries)].reset_index(drop=True) if "apiary" in table else table
        for name, table in review.tables.items()
    }
    counted = [apiary for apiary in review.facts["counted_apiaries"] if apiary in apiaries]
    facts = {**review.facts, "counted_apiaries": counted}
    return Findings(facts, {apiary: review.apiary_facts[apiary] for apiary in apiaries}, tables)


def _keys(apiaries: list[str]) -> Keys:
    """Keys of an invented keeper; a real one's are random."""
    seed = hashlib.sha256(";".join(apiaries).encode()).hexdigest()
    return Keys(seed[:32], seed)

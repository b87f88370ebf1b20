"""The provenance sheet of a lot: its chain back to the founders, why each origin is what it is, and every gap."""

from __future__ import annotations

from typing import TYPE_CHECKING

from exports.documents.house import House
from exports.documents.paper import Block, Document, Facts, Text
from exports.documents.recorded import arrival, evidence, gap, headline, origin_label, parentage, reason, whence
from exports.documents.words import permit, species_name
from ledger.books.register import permits
from ledger.origin.provenance import ProvenanceRow
from ledger.stock.queries import find_lot
from ledger.text import safe_name

if TYPE_CHECKING:
    from ledger.ledger import Ledger


def provenance_sheet(ledger: Ledger, lot: str, house: House) -> Document:
    """The chain of a lot, nearest first.

    Raises:
        NotFound: there is no such lot.
    """
    language = house.language
    say = language.say
    sheet = ledger.origin(lot)
    found = ledger.ask(find_lot, lot)
    species = next(row for row in ledger.species() if row.id == found.species_id)
    title = say("Provenance of lot %(lot)s", lot=sheet.code)
    known = ledger.ask(permits, [species.id], ledger.today)
    facts = [
        (say("Species"), species_name(species.common, species.scientific)),
        (say("Origin"), origin_label(sheet.origin, language)),
        (say("Evidence"), evidence(sheet.evidence, language)),
        (say("In short"), headline(sheet.headline, language)),
        (say("As of"), language.day(ledger.today)),
    ]
    facts += [(say("Permit, as entered"), permit(one, language)) for one in known]
    blocks: list[Block] = [Text(title, "title"), Facts(tuple(facts))]
    for row in sheet.rows:
        blocks += _lot(row, house)
    blocks.append(Text(house.ending, "strong"))
    blocks += [Text(house.translated, "small")] if house.translated else []
    return Document(f"provenance-{safe_name(sheet.code)}", title, language, house.head, tuple(blocks))


def _lot(row: ProvenanceRow, house: House) -> list[Block]:
    language = house.language
    say = language.say
    facts = [
        (say("Origin"), origin_label(row.origin, language)),
        (say("Evidence"), evidence(row.evidence, language)),
        (say("How it came"), arrival(row.came, language)),
        (say("As stated"), whence(row.whence, language)),
        (say("Parents"), "\n".join(parentage(one, language) for one in row.parents)),
        (say("Why"), "\n".join(reason(one, language) for one in row.reasons)),
        (say("Gaps"), "\n".join(gap(one, language) for one in row.gaps) or say("none")),
    ]
    back = ""
    if row.steps_back:
        back = language.counted("%(n)s step back", "%(n)s steps back", row.steps_back)
    heading = f"{row.code}, {back}" if back else row.code
    return [Text(heading, "heading"), Facts(tuple(one for one in facts if one[1]))]

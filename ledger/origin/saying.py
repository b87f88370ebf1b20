"""Saying where animals come from: stated on arrival, lowered with a note, raised with a document, a count explained."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

from sqlalchemy import Connection

from ledger.act import Scene
from ledger.days import long_day
from ledger.errors import BadInput, Refused
from ledger.origin.commands import ExplainCount, LowerOrigin, RaiseOrigin, StateOrigin
from ledger.origin.facts import FROM_OTHERS, Claim, CountUp, Statement
from ledger.origin.load import load
from ledger.origin.rules import Code, country_code, label, may_record, read_claim
from ledger.origin.service import origin_of
from ledger.origin.whatif import OriginPlan, what_changes, with_lot
from ledger.records import tables as t
from ledger.stock.naming import LotRef, find_lot
from ledger.text import clean, clean_block
from ledger.wording import say

_EMPTY = {
    "generation": None,
    "evidence": 0,
    "country": "",
    "locality": "",
    "supplier": "",
    "documents": "",
    "source_letter": "",
    "note": "",
}


def _row(lot: LotRef, kind: str, code: str, from_on: dt.date, **more: Any) -> dict[str, Any]:
    return {**_EMPTY, "lot_id": lot.id, "kind": kind, "code": code, "from_on": from_on, **more}


def check_day(on: dt.date, scene: Scene, field: str = "from_on") -> None:
    """Refuse a day to come.

    Raises:
        BadInput: it is.
    """
    if on > scene.today:
        raise BadInput(say("{on} is still to come; record what is known today.", on=long_day(on)), field)


def plan_state(conn: Connection, command: StateOrigin, scene: Scene) -> OriginPlan:
    """Check a statement of where a lot came from when it arrived; it takes the place of an earlier one.

    Raises:
        NotFound, BadInput: no such lot or origin.
    """
    lot = find_lot(conn, command.lot)
    check_day(command.from_on, scene)
    said = command.statement
    code = said.code.strip().upper()
    if code != Code.CB or said.generation is not None:
        read_claim(code, said.generation)
    if said.evidence not in (0, 1, 2, 3):
        raise BadInput(
            say("The evidence is 3 (own records), 2 (supplier's document), 1 (a statement) or 0 (none)."), "evidence"
        )
    statement = Statement(
        code,
        said.generation,
        said.evidence,
        country_code(said.country),
        clean(said.locality, limit=200, field="locality"),
        clean(said.supplier, limit=120, field="supplier"),
        clean(said.documents, limit=500, field="documents"),
        clean(said.source_letter, limit=20, field="source_letter"),
    )
    cautions = what_changes(conn, [lot.id], lambda facts: with_lot(facts, lot.id, stated=statement))
    here = load(conn, [lot.id]).lots[lot.id]
    if here.arrivals and not any(one.kind in FROM_OTHERS for one in here.arrivals):
        cautions = (
            say(
                "The animals of {code} were born or collected here: what is stated is kept, but their origin "
                "follows from the records.",
                code=lot.code,
            ),
            *cautions,
        )
    row = _row(
        lot,
        "stated",
        code,
        command.from_on,
        generation=statement.generation,
        evidence=statement.evidence,
        country=statement.country,
        locality=statement.locality,
        supplier=statement.supplier,
        documents=statement.documents,
        source_letter=statement.source_letter,
        note=clean_block(said.note, limit=2000, field="note"),
    )
    parts = {
        "lot": lot.code,
        "origin": f"{code} F{said.generation}" if said.generation else code,
        "day": long_day(command.from_on),
    }
    return OriginPlan(
        t.origin_fact,
        (row,),
        say("{lot}: stated by {supplier} as {origin}, from {day} on.", supplier=statement.supplier, **parts)
        if statement.supplier
        else say("{lot}: stated as {origin}, from {day} on.", **parts),
        cautions,
        (("lot", lot.code),),
    )


def plan_lower(conn: Connection, command: LowerOrigin, scene: Scene) -> OriginPlan:
    """Check that less is claimed than the records give.

    Raises:
        NotFound, BadInput: no such lot or origin, or no note.
        Refused: it is not less.
    """
    lot = find_lot(conn, command.lot)
    check_day(command.from_on, scene)
    note = clean_block(command.note, limit=2000, field="note")
    claimed = read_claim(command.code, command.generation)
    now = origin_of(conn, lot.id).origin
    against = may_record(claimed, now, documents="", note=note)
    if against is not None:
        raise (Refused if note else BadInput)(
            say("{code}: {against}", code=lot.code, against=against), "note" if not note else "code"
        )
    if (claimed.code, claimed.generation, claimed.at_least) == (now.code, now.generation, now.at_least):
        raise Refused(
            say("{code} reads “{label}” already; there is nothing to lower.", code=lot.code, label=label(now)), "code"
        )
    claim = Claim(str(claimed.code), claimed.generation, "", note, command.from_on)
    return OriginPlan(
        t.origin_fact,
        (_row(lot, "lowered", claim.code, command.from_on, generation=command.generation, note=note),),
        say(
            "{code}: lowered to “{label}” from {from_on} on ({note}).",
            code=lot.code,
            label=label(replace(claimed, stated=now.stated)),
            from_on=long_day(command.from_on),
            note=note,
        ),
        what_changes(conn, [lot.id], lambda facts: with_lot(facts, lot.id, claims=(*facts.lots[lot.id].claims, claim))),
        (("lot", lot.code),),
    )


def plan_raise(conn: Connection, command: RaiseOrigin, scene: Scene) -> OriginPlan:
    """Check that more is claimed than the records give, on the strength of a document.

    Raises:
        NotFound, BadInput: no such lot or origin.
        Refused: no document is named, or it is no more than the records give.
    """
    lot = find_lot(conn, command.lot)
    check_day(command.from_on, scene)
    documents = clean(command.documents, limit=500, field="documents")
    note = clean_block(command.note, limit=2000, field="note")
    claimed = read_claim(command.code, command.generation)
    now = origin_of(conn, lot.id).origin
    if may_record(claimed, now, documents="", note="given") is None:
        raise Refused(
            say(
                "{code}: our records give “{label}” already, which is as much or more; lower it with a note if "
                "less is to be said.",
                code=lot.code,
                label=label(now),
            ),
            "code",
        )
    against = may_record(claimed, now, documents=documents, note=note)
    if against is not None:
        raise Refused(say("{code}: {against}", code=lot.code, against=against), "documents")
    claim = Claim(str(claimed.code), claimed.generation, documents, note, command.from_on)
    row = _row(
        lot,
        "raised",
        claim.code,
        command.from_on,
        generation=command.generation,
        evidence=2,
        documents=documents,
        note=note,
    )
    return OriginPlan(
        t.origin_fact,
        (row,),
        say(
            "{code}: raised to “{label}” on the document {documents}, from {from_on} on.",
            code=lot.code,
            label=label(replace(claimed, stated=True)),
            documents=documents,
            from_on=long_day(command.from_on),
        ),
        what_changes(conn, [lot.id], lambda facts: with_lot(facts, lot.id, claims=(*facts.lots[lot.id].claims, claim))),
        (("lot", lot.code),),
    )


def plan_explain(conn: Connection, command: ExplainCount, scene: Scene) -> OriginPlan:
    """Check an explanation of why a lot had more animals than recorded.

    Raises:
        NotFound, BadInput: no such lot, or no explanation.
        Refused: nothing is unexplained there.
    """
    lot = find_lot(conn, command.lot)
    check_day(command.from_on, scene)
    note = clean_block(command.note, limit=2000, field="note")
    if not note:
        raise BadInput(say("Say why there were more animals than recorded."), "note")

    def explained(up: CountUp) -> CountUp:
        return replace(up, why="explained") if up.on is None or up.on <= command.from_on else up

    ups = load(conn, [lot.id]).lots[lot.id].counts_up
    if tuple(explained(up) for up in ups) == ups:
        raise Refused(
            say(
                "{code} has no unexplained count up to {from_on}; there is nothing to explain.",
                code=lot.code,
                from_on=long_day(command.from_on),
            ),
            "from_on",
        )
    now = origin_of(conn, lot.id).origin
    return OriginPlan(
        t.origin_fact,
        (_row(lot, "explained", str(now.code), command.from_on, generation=now.generation, note=note),),
        say(
            "{code}: more animals than recorded, explained up to {from_on} ({note}).",
            code=lot.code,
            from_on=long_day(command.from_on),
            note=note,
        ),
        what_changes(
            conn,
            [lot.id],
            lambda facts: with_lot(
                facts, lot.id, counts_up=tuple(explained(up) for up in facts.lots[lot.id].counts_up)
            ),
        ),
        (("lot", lot.code),),
    )

"""The invented business holds together, shows what it is meant to show, and is the same each time it is made."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from fractions import Fraction

from sqlalchemy import Connection, func, select

from ledger.books.prove import prove
from ledger.ledger import Ledger
from ledger.records import tables as t


def count(loft: Ledger, table: str) -> int:
    rows = select(func.count()).select_from(t.metadata.tables[table])
    return loft.ask(lambda conn: int(conn.execute(rows).scalar_one()))


def test_it_lives_on_the_last_day_of_2025(loft: Ledger) -> None:
    assert loft.today == dt.date(2025, 12, 31)
    assert loft.name == "Quillmere Loft"


def test_it_has_the_size_of_two_years_work(loft: Ledger) -> None:
    assert count(loft, "lot") == 62  # sixty of its own, one on loan, one made by a mix-up
    assert 1400 <= count(loft, "movement") <= 2000
    assert 210 <= count(loft, "sale") <= 225
    assert 175 <= count(loft, "cost") <= 195


def test_sales_come_near_what_each_species_and_channel_should_sell(loft: Ledger) -> None:
    def sold(conn: Connection) -> Counter[str]:
        rows = conn.execute(
            select(t.species.c.code, func.count(t.sale_line.c.sale_id.distinct()))
            .join(t.lot, t.lot.c.species_id == t.species.c.id)
            .join(t.holding, t.holding.c.lot_id == t.lot.c.id)
            .join(t.sale_line, t.sale_line.c.holding_id == t.holding.c.id)
            .group_by(t.species.c.code)
        ).all()
        return Counter(dict(map(tuple, rows)))

    found = loft.ask(sold)

    for code, wanted in {"PACH": 55, "EXTA": 45, "HIER": 45, "PORC": 45, "GECK": 30}.items():
        assert abs(found[code] - wanted) <= 5


def test_everything_kept_for_speed_is_what_the_journals_say(loft: Ledger) -> None:
    assert loft.ask(prove) == ()


def test_every_line_of_every_sale_states_an_origin(loft: Ledger) -> None:
    def unstated(conn: Connection) -> int:
        return len(conn.execute(select(t.sale_line.c.id).where(t.sale_line.c.origin_text == "")).all())

    assert loft.ask(unstated) == 0


def test_the_mantids_have_the_origins_of_their_story(loft: Ledger) -> None:
    wanted = {
        "H01": ("WC", None),
        "H02": ("CH", None),
        **{f"H0{n}": ("CB", 1) for n in (3, 4, 5)},
        **{f"H0{n}": ("CB", 2) for n in (6, 7, 8)},
        **dict.fromkeys(("H09", "H10", "H13"), ("CB", 3)),
        "H11": ("WC", None),
        "H12": ("CB", 1),
    }
    from ledger.origin.service import origin_of
    from ledger.stock.naming import find_lot

    def origins(conn: Connection) -> dict[str, tuple[str, int | None]]:
        found = {}
        for code in wanted:
            origin = origin_of(conn, find_lot(conn, code).id).origin
            found[code] = (str(origin.code), origin.generation if origin.code == "CB" else None)
        return found

    assert loft.ask(origins) == wanted


def test_two_sales_were_made_under_the_wrong_origin_and_both_have_their_note(loft: Ledger) -> None:
    def notes(conn: Connection) -> list[str]:
        rows = conn.execute(
            select(t.sale_line.c.lot_code).join(t.correction_note, t.correction_note.c.sale_line_id == t.sale_line.c.id)
        )
        return list(rows.scalars())

    assert loft.ask(notes) == ["H02", "H02"]


def test_every_deposit_came_to_an_end(loft: Ledger) -> None:
    holds = loft.holds()

    assert [hold.number for hold in holds] == ["R-014"]
    assert holds[0].state == "lapsed"
    assert holds[0].deposit_state == "kept"


def test_the_lot_whose_heater_stuck_reared_nearly_none(loft: Ledger) -> None:
    rows = {row.lot: row for row in loft.rearing(species="PACH")}

    assert rows["P08"].reached <= 5
    assert rows["P08"].lost >= 40
    assert rows["P07"].survival > 0.5


def test_one_species_sells_below_what_a_reared_adult_costs(loft: Ledger) -> None:
    def each(conn: Connection, code: str) -> Fraction:
        rows = conn.execute(
            select(t.sale_line.c.net, t.sale_line.c.count + t.sale_line.c.extra)
            .join(t.holding, t.holding.c.id == t.sale_line.c.holding_id)
            .join(t.lot, t.lot.c.id == t.holding.c.lot_id)
            .join(t.species, t.species.c.id == t.lot.c.species_id)
            .join(t.stage, t.stage.c.id == t.holding.c.stage_id)
            .where(t.species.c.code == code, t.stage.c.reared == 1)
        ).all()
        return Fraction(sum(net for net, _ in rows), sum(number for _, number in rows))

    below = [
        row.species
        for row in loft.rearing()
        if not row.lot and row.cost_per_reared is not None and loft.ask(each, row.species) < row.cost_per_reared
    ]

    assert below

"""Every table of a ledger: two journals (stock and money), the facts about them, and a few rebuildable caches.

`JOURNAL` tables only ever grow: the database itself refuses to change or delete their rows. `CACHE` tables can be
rebuilt from the journals at any time. `MUTABLE` tables are customers and plain settings. Nothing here knows a rule;
the rules live in the packages that write these rows.
"""

from __future__ import annotations

from sqlalchemy import (
    CheckConstraint,
    Column,
    ColumnElement,
    ForeignKey,
    Index,
    MetaData,
    Table,
    UniqueConstraint,
    literal_column,
)
from sqlalchemy.schema import SchemaItem

from ledger.records.columns import KEY, Whole, choice, count, day, money, real_days, text
from ledger.records.lot_facts import LOT_FACTS

NAMES = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s",
    "pk": "pk_%(table_name)s",
}
metadata = MetaData(naming_convention=NAMES)


def _table(name: str, *parts: SchemaItem) -> Table:
    table = Table(name, metadata, *parts, sqlite_strict=True)
    real_days(table)
    return table


def _id() -> Column[int]:
    return Column("id", KEY, primary_key=True)


def _ref(name: str, target: str, *, nullable: bool = False, index: bool = False, unique: bool = False) -> Column[int]:
    return Column(name, Whole(), ForeignKey(f"{target}"), nullable=nullable, index=index, unique=unique)


def _op() -> Column[int]:
    """The act of recording that wrote the row."""
    return _ref("operation_id", "operation.id", index=True)


# --- the ledger itself ----------------------------------------------------------------------------------------------

ledger_info = _table(
    "ledger_info",
    Column("id", KEY, CheckConstraint("id = 1", name="one_row"), primary_key=True),
    text("application", 20),
    count("schema_version", least=1),
    count("least_reader", least=1),
    text("made_at", 40),
    text("currency", 3),
)
"""One row: what this database is. The currency of a ledger never changes."""

setting = _table("setting", text("name", 60, primary_key=True), text("value", 2000))
"""Plain settings (business name and address, terms, locale, year start). Mutable."""

operation = _table(
    "operation",
    _id(),
    text("token", 64, unique=True),
    text("kind", 60),
    text("digest", 64),
    text("recorded_at", 40),
    text("recorded_by", 80),
    text("source", 80),
)
"""One act of recording. `token` is made when its form opens; written before anything else of the act, it makes the
act count once. `digest` tells whether the same token comes with other content."""

outcome = _table("outcome", _ref("operation_id", "operation.id", unique=True), text("answer", 200_000), _id())
"""What was answered to an act, as JSON, so that a repeated act gets the same answer."""

undone = _table("undone", _id(), _ref("act_id", "operation.id", unique=True), _op())
"""An act that its keeper took back by a later one. What it moved or paid has rows of its own that take it back; its
marks, prices, dated figures, methods and facts, reminders, waits, arrivals and claims no longer count (see
`undone.stands`)."""

period = _table(
    "period",
    Column("year", Whole(), primary_key=True, autoincrement=False),
    day("first_day"),
    day("last_day"),
    count("closed", most=1),
    UniqueConstraint("first_day"),
    UniqueConstraint("last_day"),
)
"""Accounting years, laid out in advance without a gap. `closed` goes from 0 to 1 and never back."""

counter = _table(
    "counter",
    text("series", 20, primary_key=True),
    Column("year", Whole(), primary_key=True, autoincrement=False),
    count("last", most=10**9),
)
"""Last number given in each gapless series."""

# --- species, stages and their dated figures ------------------------------------------------------------------------

species = _table(
    "species",
    _id(),
    text("code", 20, unique=True),
    text("scientific", 120),
    text("common", 120),
    text("grp", 60),
    text("template", 60),
    text("caution", 1000),
    _op(),
)
stage = _table(
    "stage",
    _id(),
    _ref("species_id", "species.id"),
    count("position", most=60),
    text("name", 40),
    choice("unit", "animal", "object", "specimen"),
    count("reared", most=1),
    UniqueConstraint("species_id", "position"),
    UniqueConstraint("species_id", "name"),
)
"""Ordered stages of a species; exactly one has `reared` = 1."""

figure = _table(
    "figure",
    _id(),
    _ref("species_id", "species.id", index=True),
    _ref("stage_id", "stage.id", nullable=True),
    choice(
        "name",
        "saleable",
        "do not post",
        "hardening days",
        "days low",
        "days high",
        "planning survival",
        "care weight",
        "loss rate",
        "standard cost",
        "stored sperm days",
        "breeding life days",
        "without mating",
        "round days",
    ),
    count("value", most=10**9),
    day("from_on"),
    text("source", 1000),
    _op(),
)
"""Dated figures of a species (stage null) or stage; the newest row with `from_on` not after the day counts. Units:
yes/no 0 or 1; days; planning survival and loss rate in millionths; care weight in thousandths; standard cost in minor
units."""

# --- lots and what is known of them ---------------------------------------------------------------------------------

lot = _table(
    "lot",
    _id(),
    text("code", 20, unique=True),
    _ref("species_id", "species.id", index=True),
    day("started_from"),
    day("started_on"),
    text("line", 80),
    text("note", 2000),
    count("depth", most=100000),
    _op(),
    CheckConstraint("started_from <= started_on", name="start_order"),
)
"""Animals of one species and one origin that share a start. The clock of survival starts at the middle of
started_from..started_on. `depth` is one more than that of the deepest lot it comes from (a founder has 0)."""

lot_source = _table(
    "lot_source",
    _id(),
    _ref("lot_id", "lot.id", index=True),
    _ref("source_id", "lot.id"),
    choice("how", "split", "merged", "harvested"),
    _op(),
    UniqueConstraint("lot_id", "source_id"),
)
"""Lots that a split, a merge or a colony harvest made this lot from."""

lot_fact = _table(
    "lot_fact",
    _id(),
    _ref("lot_id", "lot.id", index=True),
    choice("fact", *LOT_FACTS),
    text("value", 2000),
    day("from_on"),
    _op(),
)
"""Dated facts; the newest row with `from_on` not after the day counts. purpose: sale, breeding or quarantine. Each
`treatment` is one of its own, and all of them stay in the register."""

animal_fact = _table(
    "animal_fact",
    _id(),
    _ref("lot_id", "lot.id", index=True),
    text("tub", 20),
    choice("fact", "virgin on arrival"),
    choice("value", "yes", "no", "not known"),
    day("from_on"),
    text("note", 2000),
    _op(),
)
"""What is known of one animal (lot and tub) or of a whole lot (tub empty); a later row corrects an earlier one."""

origin_fact = _table(
    "origin_fact",
    _id(),
    _ref("lot_id", "lot.id", index=True),
    choice("kind", "stated", "lowered", "raised", "explained"),
    choice("code", "WC", "WR", "CH", "CF", "CB", "CBU", "MIX", "UNK"),
    count("generation", most=1000, nullable=True),
    count("evidence", most=3),
    text("country", 2),
    text("locality", 200),
    text("supplier", 120),
    text("documents", 500),
    text("source_letter", 20),
    text("note", 2000),
    day("from_on"),
    _op(),
)
"""What was stated of a lot's origin (on arrival), lowered, or raised with a document. `source_letter` is text copied
from a document, never derived. 'explained' clears the doubt of an unexplained upward count."""

exposure = _table(
    "exposure",
    _id(),
    _ref("female_lot_id", "lot.id", index=True),
    text("female_tub", 20),
    _ref("male_lot_id", "lot.id", index=True),
    text("male_tub", 20),
    day("from_on"),
    day("to_on", nullable=True),
    count("witnessed", most=1),
    text("evidence", 500),
    _op(),
)
"""A female (or all of a lot, tub empty) was with a male from one day to another."""

exposure_end = _table("exposure_end", _id(), _ref("exposure_id", "exposure.id", unique=True), day("to_on"), _op())

parent = _table(
    "parent",
    _id(),
    _ref("lot_id", "lot.id", index=True),
    choice("role", "mother", "father"),
    _ref("parent_lot_id", "lot.id"),
    text("parent_tub", 20),
    day("laid_from", nullable=True),
    day("laid_on", nullable=True),
    text("evidence", 500),
    _op(),
)
"""Who laid a lot (mother), and a father stated beside the exposures."""

# --- stock journal --------------------------------------------------------------------------------------------------

holding = _table(
    "holding",
    _id(),
    _ref("lot_id", "lot.id"),
    _ref("stage_id", "stage.id"),
    choice("sex", "male", "female", "hermaphrodite", "unsexed"),
    choice("sure", "", "probable", "confirmed"),
    text("tub", 20),
    count("count"),
    count("earmarked"),
    UniqueConstraint("lot_id", "stage_id", "sex", "sure", "tub"),
    CheckConstraint("earmarked <= count", name="earmarked_within_count"),
    Index("ix_holding_on_hand", "stage_id", "lot_id"),
)
"""The animals of one lot, stage, sex and tub. Cache of the stock journal: only `count` and `earmarked` change."""

entry = _table(
    "entry",
    _id(),
    day("happened_from", nullable=True),
    day("happened_on"),
    day("accounting_on"),
    text("note", 2000),
    _op(),
    CheckConstraint("happened_from <= happened_on", name="range_order"),
    CheckConstraint("accounting_on >= happened_on", name="accounted_later"),
    Index("ix_entry_accounting_on", "accounting_on"),
    Index("ix_entry_happened_on", "happened_on"),
)
"""One act on the stock: its `id` is the number a keeper sees. A date range ends on happened_on."""

_LENT_IN: ColumnElement[bool] = literal_column("reason = 'lent in'")
"""Animals of others came in: few movements among many, looked for before every sale."""

movement = _table(
    "movement",
    _id(),
    _ref("entry_id", "entry.id", index=True),
    _ref("from_holding_id", "holding.id", nullable=True),
    _ref("to_holding_id", "holding.id", nullable=True),
    count("count", least=1),
    text("reason", 30),
    choice("cause", "unknown", "ordinary", "exceptional", nullable=True),
    _ref("reverses", "movement.id", nullable=True, unique=True),
    _ref("relates_to", "movement.id", nullable=True, index=True),
    money("value", nullable=True),
    count("estimated", most=1),
    count("explained", most=1),
    CheckConstraint("from_holding_id IS NOT NULL OR to_holding_id IS NOT NULL", name="ends"),
    CheckConstraint("from_holding_id <> to_holding_id", name="differ"),
    Index("ix_movement_from", "from_holding_id", "count"),
    Index("ix_movement_to", "to_holding_id", "count"),
    Index("ix_movement_lent_in", "to_holding_id", sqlite_where=_LENT_IN),
)
"""n animals from one holding to another, or in from outside, or out. `value`: price or agreed value with carriage.
`explained`: a find put down to an earlier miscount."""

observation = _table(
    "observation",
    _id(),
    _ref("lot_id", "lot.id"),
    _ref("stage_id", "stage.id", nullable=True),
    text("tub", 20),
    day("happened_on"),
    choice("kind", "fed", "looked", "counted", "estimated", "seen hard"),
    count("count", nullable=True),
    text("note", 2000),
    _op(),
    Index("ix_observation_lot", "lot_id", "happened_on"),
)
"""Checks: only looked and counted narrow when something happened; feeding is not looking. `tub` empty: the lot."""

layer = _table(
    "layer",
    _ref("holding_id", "holding.id"),
    day("entered_on"),
    count("hard", most=1),
    count("count", least=1),
    UniqueConstraint("holding_id", "entered_on", "hard"),
    _id(),
)
"""Age layers: how many of a holding entered their stage on which day, and whether they were seen hard. Cache."""

earmark = _table(
    "earmark",
    _id(),
    choice("kind", "held", "kept", "to post"),
    count("asked", least=1),
    _ref("hold_line_id", "hold_line.id", nullable=True, unique=True),
    _ref("sale_line_id", "sale_line.id", nullable=True, unique=True),
    text("note", 500),
    _op(),
)
"""Animals set aside: held for a buyer, kept back, or sold and to post."""

earmark_event = _table(
    "earmark_event",
    _id(),
    _ref("earmark_id", "earmark.id", index=True),
    _ref("holding_id", "holding.id"),
    count("change", least=-1_000_000),
    choice("why", "made", "followed", "shortened", "freed", "taken"),
    _op(),
)
"""How the animals of an earmark came to be where they are."""

earmark_on = _table(
    "earmark_on",
    Column("earmark_id", Whole(), ForeignKey("earmark.id"), primary_key=True, autoincrement=False),
    Column("holding_id", Whole(), ForeignKey("holding.id"), primary_key=True, autoincrement=False, index=True),
    count("count"),
)
"""How many animals of a holding each earmark sets aside now. Cache of earmark_event."""

# --- money journal --------------------------------------------------------------------------------------------------

cost = _table(
    "cost",
    _id(),
    day("bought_on"),
    day("accounting_on"),
    text("supplier", 120),
    text("category", 40),
    text("text", 200),
    money("net"),
    money("tax"),
    money("gross"),
    money("basis"),
    count("share", least=1, most=10000),
    text("quantity", 30),
    text("unit", 20),
    choice("kind", "used up", "lasting", "animals", "overhead", "selling"),
    choice("scope", "all", "species", "lots", "brood", "none"),
    day("window_from", nullable=True),
    day("window_to", nullable=True),
    count("life_days", least=1, most=40000, nullable=True),
    money("residual"),
    _ref("sale_id", "sale.id", nullable=True, index=True),
    _ref("movement_id", "movement.id", nullable=True, unique=True),
    _ref("reverses", "cost.id", nullable=True, unique=True),
    text("original_currency", 3),
    text("original_amount", 30),
    text("rate", 30),
    text("note", 2000),
    _op(),
    CheckConstraint("gross = net + tax", name="gross"),
    CheckConstraint("window_from <= window_to", name="window_order"),
    CheckConstraint("residual <= basis", name="residual"),
)
"""What was spent. `share`: business share in hundredths of a percent. `basis`: the business share of net or gross, what
the costing uses."""

cost_scope = _table(
    "cost_scope",
    _id(),
    _ref("cost_id", "cost.id", index=True),
    _ref("species_id", "species.id", nullable=True),
    _ref("lot_id", "lot.id", nullable=True),
)
cost_change = _table(
    "cost_change",
    _id(),
    _ref("cost_id", "cost.id", index=True),
    choice("kind", "paid", "refund", "window", "disposal"),
    day("happened_on"),
    day("accounting_on"),
    money("amount", least=-(10**11)),
    day("window_to", nullable=True),
    _ref("reverses", "cost_change.id", nullable=True, unique=True),
    text("note", 2000),
    _op(),
    CheckConstraint("amount >= 0 OR reverses IS NOT NULL", name="amount_back"),
)
"""Dated rows beside a cost: paid, refunded, window ended on another day, disposed of (amount: proceeds). `reverses`:
takes a row of the kind paid back that was never paid, by the same amount below nothing."""

store_issue = _table(
    "store_issue",
    _id(),
    text("category", 40),
    text("item", 200),
    count("quantity", least=1, most=10**12),
    text("unit", 20),
    day("happened_on"),
    day("accounting_on"),
    day("used_to"),
    _ref("species_id", "species.id", nullable=True),
    _ref("lot_id", "lot.id", nullable=True),
    _ref("reverses", "store_issue.id", nullable=True, unique=True),
    text("note", 2000),
    _op(),
    CheckConstraint("used_to >= happened_on", name="window_order"),
    CheckConstraint("species_id IS NULL OR lot_id IS NULL", name="whom"),
)
"""Weighed or counted out of the store (a cost used up over no days of its own) at the average price of its item.
`quantity` in thousandths of the unit; for a species, a lot, or all animals."""

own_hours = _table(
    "own_hours",
    _id(),
    day("happened_on"),
    count("minutes", least=1),
    text("work", 200),
    _ref("species_id", "species.id", nullable=True),
    _ref("lot_id", "lot.id", nullable=True),
    _ref("reverses", "own_hours.id", nullable=True, unique=True),
    _op(),
    CheckConstraint("species_id IS NULL OR lot_id IS NULL", name="whom"),
)
"""The keeper's own time: a memo that no total ever holds."""

method = _table("method", _id(), text("name", 60), text("value", 200), day("from_on"), text("note", 500), _op())
"""Figures of method (sharing key per category, brood to expense, valuation), dated; closed years keep theirs."""

customer = _table(
    "customer",
    _id(),
    text("name", 120),
    text("contact", 500),
    choice("kind", "retail", "trade"),
    text("note", 2000),
    day("erased_on", nullable=True),
)
"""Mutable, erasable on request; documents and the sale stay."""

price = _table(
    "price",
    _id(),
    _ref("species_id", "species.id", index=True),
    _ref("stage_id", "stage.id"),
    choice("sex", "any", "male", "female", "unsexed"),
    text("pack", 40),
    count("animals", least=1),
    count("extra"),
    choice("buyer", "retail", "trade"),
    money("amount"),
    day("from_on"),
    _op(),
)
"""Dated price list. pack: 'single', 'pair 1.1', 'group of 10', ...; `amount` is for the pack of `animals`, and `extra`
are given on top."""

hold = _table(
    "hold",
    _id(),
    text("number", 20, unique=True),
    _ref("customer_id", "customer.id", index=True),
    day("made_on"),
    text("until", 16),
    money("deposit"),
    text("note", 2000),
    _op(),
)
"""A promise to a buyer. `until`: local date and minute, ISO 8601 (2025-06-15T18:00)."""

hold_line = _table(
    "hold_line",
    _id(),
    _ref("hold_id", "hold.id", index=True),
    _ref("holding_id", "holding.id"),
    count("count", least=1),
    money("price", nullable=True),
)
hold_fate = _table(
    "hold_fate",
    _id(),
    _ref("hold_id", "hold.id", unique=True),
    choice("fate", "taken up", "lapsed", "released"),
    day("happened_on"),
    choice("deposit", "none", "applied", "refunded", "kept", "undecided"),
    text("note", 500),
    _op(),
)
queue_place = _table(
    "queue_place",
    _id(),
    _ref("hold_id", "hold.id", index=True),
    _ref("customer_id", "customer.id", index=True),
    count("count", least=1),
    day("asked_on"),
    text("note", 500),
    _op(),
)
"""Another buyer waits for the animals of a hold; the order of the rows is that of the queue."""

queue_end = _table(
    "queue_end",
    _id(),
    _ref("queue_place_id", "queue_place.id", unique=True),
    choice("outcome", "offered", "left"),
    day("happened_on"),
    _ref("hold_id", "hold.id", nullable=True),
    _op(),
)
"""How a place in a queue ended: the animals were held for that buyer (`hold_id`), or the buyer no longer waits."""

deposit_decision = _table(
    "deposit_decision",
    _id(),
    _ref("hold_id", "hold.id", unique=True),
    choice("outcome", "refunded", "kept"),
    day("happened_on"),
    day("accounting_on"),
    text("note", 500),
    _op(),
)
"""What became of the deposit of a lapsed or released hold, decided later."""

sale = _table(
    "sale",
    _id(),
    text("number", 20, unique=True),
    day("sold_on"),
    day("accounting_on"),
    choice("channel", "post", "fair", "collection", "trade", "swap", "other"),
    _ref("customer_id", "customer.id", nullable=True, index=True),
    text("customer_name", 120),
    count("to_post", most=1),
    _ref("hold_id", "hold.id", nullable=True, unique=True),
    text("note", 2000),
    text("own_note", 2000),
    _op(),
)
sale_line = _table(
    "sale_line",
    _id(),
    _ref("sale_id", "sale.id", index=True),
    count("position", most=1000),
    _ref("holding_id", "holding.id"),
    count("count", least=1),
    count("extra"),
    text("pack", 80),
    count("together", most=1000),
    money("price"),
    money("discount"),
    money("net"),
    text("lot_code", 20),
    text("species_text", 250),
    text("stage_text", 40),
    text("sex_text", 60),
    text("origin_code", 3),
    count("origin_generation", most=1000, nullable=True),
    count("origin_or_later", most=1),
    count("origin_evidence", most=3),
    count("origin_lowered", most=1),
    text("origin_text", 500),
    text("provenance_text", 2000),
    CheckConstraint("net = price - discount", name="net"),
    CheckConstraint("origin_text <> ''", name="origin_stated"),
)
"""`count` paid for and `extra` given on top; `price` for the line. Lines of a sale with the same `together` above 0
were one pack at one price. Origin, sex, stage and species as they were sold;
`origin_or_later`: "F2 or later"; `origin_lowered`: the keeper stated less than the records gave."""

sale_charge = _table(
    "sale_charge",
    _id(),
    _ref("sale_id", "sale.id", index=True),
    choice("kind", "postage", "packing", "other"),
    text("text", 120),
    money("amount"),
)
payment = _table(
    "payment",
    _id(),
    _ref("sale_id", "sale.id", nullable=True, index=True),
    _ref("hold_id", "hold.id", nullable=True, index=True),
    day("paid_on"),
    day("accounting_on"),
    money("amount", least=-(10**11)),
    text("method", 40),
    text("note", 500),
    _ref("reverses", "payment.id", nullable=True, unique=True),
    _op(),
    CheckConstraint("amount <> 0", name="amount_some"),
    CheckConstraint("sale_id IS NOT NULL OR hold_id IS NOT NULL", name="for_what"),
)
"""Money received (positive) or given back (negative) for a sale, or as deposit of a hold. A deposit applied to a sale
stays on its hold; it counts for the sale through the hold's fate. `reverses`: takes a payment back that was never made,
by the same amount the other way."""

sale_movement = _table(
    "sale_movement",
    _id(),
    _ref("sale_line_id", "sale_line.id", index=True),
    _ref("movement_id", "movement.id", unique=True),
)
"""Which movements took the animals of a sale line out (on the day of a sale handed over, or of posting)."""

posting = _table(
    "posting",
    _id(),
    _ref("sale_id", "sale.id", unique=True),
    day("posted_on"),
    day("accounting_on"),
    _ref("entry_id", "entry.id"),
    count("coldest", least=-90, most=70, nullable=True),
    count("warmest", least=-90, most=70, nullable=True),
    text("note", 500),
    _op(),
)
"""`coldest` and `warmest`: degrees Celsius expected on the way, as the keeper entered them."""

post_wait = _table(
    "post_wait",
    _id(),
    _ref("sale_id", "sale.id", index=True),
    day("from_on"),
    day("look_on", nullable=True),
    text("why", 200),
    _op(),
)
"""A parcel waits (weather, a holiday): look again on a day. The newest row counts; an empty `why` lets it go."""

arrival = _table(
    "arrival",
    _id(),
    _ref("sale_id", "sale.id", index=True),
    day("arrived_on"),
    text("clock", 5),
    text("note", 500),
    _op(),
)
"""When a parcel arrived, as the buyer said; `clock`: 14:30, or empty."""

credit = _table(
    "credit",
    _id(),
    text("number", 20, unique=True),
    _ref("sale_id", "sale.id", index=True),
    day("credited_on"),
    day("accounting_on"),
    money("amount"),
    count("full", most=1),
    text("reason", 500),
    _op(),
)
"""`full`: the whole sale was undone, its movements reversed."""

credit_line = _table(
    "credit_line",
    _id(),
    _ref("credit_id", "credit.id", index=True),
    _ref("sale_line_id", "sale_line.id", nullable=True, index=True),
    count("count"),
    count("back"),
    money("amount"),
    text("text", 120),
)
"""`count` animals credited, `back` of them came back alive; without a sale line the amount is for a charge."""

correction_note = _table(
    "correction_note",
    _id(),
    _ref("sale_line_id", "sale_line.id", index=True),
    text("was", 500),
    text("now", 500),
    text("why", 2000),
    day("written_on"),
    _op(),
)
"""Told the buyer that the origin stated on a line was wrong; the line itself stays as sold."""

terms = _table("terms", _id(), text("text", 2000), _op())
"""Terms of sale as they stood from an act on, so that what was agreed with each sale stays known."""

claim = _table(
    "claim",
    _id(),
    _ref("sale_line_id", "sale_line.id", index=True),
    day("reported_on"),
    count("dead", least=1),
    count("hours", most=10_000, nullable=True),
    text("evidence", 2000),
    text("terms", 2000),
    _op(),
)
"""Animals of a line arrived dead, as the buyer said: how many, how many hours after arrival it was reported, what was
seen of it, and the terms as sold. No movement: what happens after they left is not survival here."""

claim_outcome = _table(
    "claim_outcome",
    _id(),
    _ref("claim_id", "claim.id", unique=True),
    choice("outcome", "refund", "replacement", "goodwill", "declined"),
    day("decided_on"),
    _ref("credit_id", "credit.id", nullable=True),
    _ref("sale_id", "sale.id", nullable=True),
    text("note", 2000),
    _op(),
)
"""What was decided: the credit of a refund or of goodwill in money, the sale (free of charge) of a replacement or of
goodwill in animals, whose cost is a selling cost of the sale the claim is on."""

giving = _table(
    "giving",
    _id(),
    _ref("entry_id", "entry.id", unique=True),
    choice("kind", "gift", "sample", "own use"),
    _ref("customer_id", "customer.id", nullable=True),
    _op(),
)
"""Animals that left without a sale: as what, and to whom."""

loan = _table(
    "loan",
    _id(),
    _ref("lot_id", "lot.id", index=True),
    _ref("customer_id", "customer.id", index=True),
    day("lent_on"),
    day("back_by", nullable=True),
    text("terms", 2000),
    _op(),
)
"""A breeding loan: a lot is with somebody else, who owns none of it. `terms`: what was agreed, as who gets young;
`back_by`: the day it was agreed to be back by."""

loan_end = _table("loan_end", _id(), _ref("loan_id", "loan.id", unique=True), day("back_on"), text("note", 500), _op())

species_flag = _table(
    "species_flag",
    _id(),
    _ref("species_id", "species.id", index=True),
    choice("kind", "protected", "invasive", "permit", "post limit"),
    text("text", 500),
    text("number", 80),
    day("expires_on", nullable=True),
    day("from_on"),
    _op(),
)
"""What the keeper entered about rules for a species: a reminder, never a finding of what is legal."""

species_flag_end = _table(
    "species_flag_end", _id(), _ref("species_flag_id", "species_flag.id", index=True), day("ended_on"), _op()
)

# --- fairs ----------------------------------------------------------------------------------------------------------

fair = _table(
    "fair",
    _id(),
    text("name", 120),
    day("held_on"),
    day("last_on"),
    money("cash_float"),
    text("note", 2000),
    _op(),
    CheckConstraint("held_on <= last_on", name="day_order"),
)
"""A fair the keeper sells at; `cash_float`: change taken along."""

fair_pack = _table(
    "fair_pack",
    _id(),
    _ref("fair_id", "fair.id", index=True),
    text("mark", 12),
    text("pack", 80),
    money("price"),
    _op(),
)
"""One pack put together for a fair; several alike share a `mark`, the key they are sold by."""

fair_pack_line = _table(
    "fair_pack_line",
    _id(),
    _ref("fair_pack_id", "fair_pack.id", index=True),
    _ref("earmark_id", "earmark.id", unique=True),
    count("extra"),
)
"""Animals of a pack, kept back for it; `extra` of them are given on top."""

fair_pack_sale = _table(
    "fair_pack_sale",
    _id(),
    _ref("fair_pack_id", "fair_pack.id", unique=True),
    _ref("sale_id", "sale.id", unique=True),
    _op(),
)
fair_cost = _table(
    "fair_cost", _id(), _ref("fair_id", "fair.id", index=True), _ref("cost_id", "cost.id", unique=True), _op()
)
"""Table fee, mileage and other costs of a fair."""

fair_end = _table(
    "fair_end",
    _id(),
    _ref("fair_id", "fair.id", unique=True),
    day("ended_on"),
    money("counted"),
    money("expected", least=-(10**11)),
    text("note", 2000),
    _op(),
)
"""The end of a fair: cash counted, and what the float and the cash sales come to."""

# --- outlooks -------------------------------------------------------------------------------------------------------

outlook_week = _table(
    "outlook_week",
    _id(),
    _ref("species_id", "species.id", index=True),
    day("issued_on"),
    day("first_day"),
    day("last_day"),
    count("low"),
    count("high"),
    count("expected", most=1_000_000_000),
    _op(),
    UniqueConstraint("species_id", "issued_on", "first_day"),
    CheckConstraint("issued_on < first_day AND first_day <= last_day", name="ahead"),
    CheckConstraint("low <= high", name="range"),
)
"""What an outlook said of one week: between `low` and `high` of a species become ready, in four cases of five.
`expected` in thousandths of an animal. Kept to be held against what came."""

# --- brought in -----------------------------------------------------------------------------------------------------

bring_in = _table(
    "bring_in",
    _id(),
    choice("kind", "stock", "sales", "costs", "customers", "prices"),
    text("file_name", 200),
    text("file_digest", 64),
    count("rows", least=1),
    _op(),
)
"""A file whose rows were brought in as one act. Whatever that act recorded carries the same operation."""

bring_in_row = _table(
    "bring_in_row",
    _id(),
    _ref("bring_in_id", "bring_in.id", index=True),
    text("place", 120),
    text("mark", 64, index=True),
    text("reference", 80, index=True),
    _ref("customer_id", "customer.id", nullable=True),
)
"""`mark`: fingerprint of what the row says, and which of several equal rows it is; the same row is known by it.
`reference`: the keeper's own number of it, if it has one. `customer_id`: the customer it made; nothing else says so."""

bring_in_undone = _table("bring_in_undone", _id(), _ref("bring_in_id", "bring_in.id", unique=True), _op())
"""The file was taken back: its rows may come again."""

# --- year end -------------------------------------------------------------------------------------------------------

closing = _table(
    "closing",
    _id(),
    Column("year", Whole(), ForeignKey("period.year"), nullable=False, unique=True),
    day("closed_on"),
    text("digest", 64),
    _op(),
)
closing_figure = _table(
    "closing_figure",
    _id(),
    _ref("closing_id", "closing.id", index=True),
    text("figure", 40),
    text("detail", 200),
    Column("value", Whole(), nullable=False),
)
"""The figures of a closed year as they stood: counts, cost so far and totals by name. Checked again by `prove`."""

MUTABLE = frozenset({"setting", "customer"})
CACHE = frozenset({"holding", "layer", "earmark_on"})
STEPPED = frozenset({"ledger_info", "counter", "period"})
"""One-way state: a counter only goes up by one, a period is only closed, a schema version only rises."""
JOURNAL = frozenset(metadata.tables) - MUTABLE - CACHE - STEPPED
"""Tables whose rows are never changed or deleted."""
ERASABLE = {"sale": "customer_name", "outcome": "answer"}
"""Text of a journal that may name a buyer: it may be made empty, and nothing else of its row may change."""
ACCOUNTED = ("entry", "cost", "cost_change", "store_issue", "sale", "payment", "posting", "credit", "deposit_decision")
"""Tables whose rows carry accounting_on and may not fall in a closed year."""

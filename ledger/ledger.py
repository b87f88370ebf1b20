"""The front door: open a ledger, say what happened, ask what is so.

Screens, commands, imports and the demo all come through here. A command is planned (`preview`) or recorded (`do`),
each in one transaction; each question is one function of a part, asked through `ask` with a connection of its own.
"""

from __future__ import annotations

import datetime as dt
import getpass
import hashlib
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from functools import cache, cached_property
from types import TracebackType
from typing import TYPE_CHECKING, Concatenate, ParamSpec, TypeVar

from sqlalchemy import Connection

from ledger.act import Act, Done, Handler, Plan, Scene
from ledger.errors import BadInput, Busy, Refused
from ledger.money import Currency
from ledger.rearing.telling import untold
from ledger.records.later import kept_back
from ledger.records.operations import new_token, perform, perform_within
from ledger.records.settings import setting
from ledger.records.store import Store, create, open_store
from ledger.wording import say

if TYPE_CHECKING:
    from ledger.books.changes import Consequences
    from ledger.books.checks import Check
    from ledger.books.due import DueRow
    from ledger.books.helps import TaxHelps
    from ledger.books.income import Income
    from ledger.books.late import Late
    from ledger.books.missing import BeforeClosing
    from ledger.books.prove import Finding
    from ledger.books.rounds_due import RoundTub
    from ledger.books.stock_count import ToCount
    from ledger.books.valuation import Valuation
    from ledger.books.vocabulary import Names
    from ledger.costs.equipment import EquipmentRow
    from ledger.costs.hours import HoursRow
    from ledger.costs.in_use import OpenRow
    from ledger.costs.listing import CostRow
    from ledger.costs.memo import CostMemo
    from ledger.costs.methods import MethodRow
    from ledger.costs.store import StoreRow
    from ledger.origin.memo import OriginMemo
    from ledger.origin.provenance import Provenance
    from ledger.rearing.buyers import Buyers
    from ledger.rearing.charging import Charge
    from ledger.rearing.choosing import Choices
    from ledger.rearing.coming import Coming
    from ledger.rearing.curve import LotCurve
    from ledger.rearing.kept import Record
    from ledger.rearing.look import LotLook, SpeciesLook
    from ledger.rearing.mortality import MortalityRow
    from ledger.rearing.report import RearingRow
    from ledger.rearing.stage_times import StageTime
    from ledger.rearing.starting import Start
    from ledger.rearing.telling import Told
    from ledger.rearing.times_of import DateAhead
    from ledger.selling.affected import AffectedRow
    from ledger.selling.arrivals import ArrivalsRow
    from ledger.selling.customers import CustomerRow
    from ledger.selling.doa import ClaimRow
    from ledger.selling.fair_packs import FairPackRow
    from ledger.selling.fair_results import FairResult
    from ledger.selling.fairs import Fair
    from ledger.selling.flags import FlagRow
    from ledger.selling.giving import GivenRow
    from ledger.selling.history import History
    from ledger.selling.holds import Hold
    from ledger.selling.lending import LoanRow
    from ledger.selling.listing import PriceRow, SaleRow
    from ledger.selling.margin import SaleMargin
    from ledger.selling.owed import OwedPaper
    from ledger.selling.parcels import Parcel
    from ledger.selling.queue import QueueRow
    from ledger.selling.ready import ReadyRow
    from ledger.selling.receipt import Receipt
    from ledger.stock.catalogue import SpeciesRow
    from ledger.stock.entries import EntryRow
    from ledger.stock.queries import LotRow, StockRow, StoryRow

P = ParamSpec("P")
T = TypeVar("T")


@cache
def handlers() -> dict[type, Handler]:
    """Every command a ledger knows, with how it is planned and written."""
    from ledger.books.handlers import HANDLERS as books
    from ledger.costs.handlers import HANDLERS as costs
    from ledger.origin.handlers import HANDLERS as origin
    from ledger.rearing.handlers import HANDLERS as rearing
    from ledger.records.handlers import HANDLERS as records
    from ledger.selling.handlers import HANDLERS as selling
    from ledger.stock.handlers import HANDLERS as stock

    return {**records, **stock, **origin, **costs, **selling, **rearing, **books}


def digest_of(command: object) -> str:
    """Fingerprint of a command's content: the same token with another one is refused."""
    return hashlib.sha256(repr(command).encode("utf-8", "surrogatepass")).hexdigest()


def carry_out(conn: Connection, handler: Handler, command: object, act: Act) -> Done:
    """Plan a command and write it, in the transaction of its act."""
    return handler.commit(conn, plan_out(conn, handler, command, act), act)


def plan_out(conn: Connection, handler: Handler, command: object, act: Act) -> Plan:
    """Plan a command that is about to be written.

    Holds whose deadline has passed end first, so that what happens to animals does not fall on a promise that is over.
    """
    if type(command).__module__ == STOCK:
        from ledger.selling.holds import sweep_lapsed

        sweep_lapsed(conn, act)
    return handler.plan(conn, command, act.scene)


STOCK = "ledger.stock.commands"
Acts = Iterable[tuple[str, Callable[[Connection], object]]]
"""Several commands, each with what to call it and how to make it."""


class _OnlyATrial(Exception):
    """Ends a transaction of which nothing is to be saved."""


class Ledger:
    """One open ledger.

    Args:
        store: the opened database.
        clock: gives the local time; the demo and the tests pass their own.
        by: who records, kept with each act.
    """

    def __init__(self, store: Store, *, clock: Callable[[], dt.datetime] | None = None, by: str | None = None) -> None:
        self.store = store
        self.by = by if by is not None else getpass.getuser()
        self.recorded: Callable[[], None] = lambda: None
        """Called after each act that was recorded, for whoever remembers how far the ledger got."""
        self._memo: dict[str, object] = {}
        self._clock = clock or self._own_clock()

    @classmethod
    def open(cls, target: str, *, read_only: bool = False, clock: Callable[[], dt.datetime] | None = None) -> Ledger:
        """Open an existing ledger (a path or a database URL).

        Raises:
            NotALedger, NewerLedger, OlderLedger, Busy: it cannot be used, and why.
        """
        return cls(open_store(target, read_only=read_only), clock=clock)

    @classmethod
    def create(
        cls,
        target: str,
        *,
        currency: str,
        name: str,
        year_start: tuple[int, int] = (1, 1),
        clock: Callable[[], dt.datetime] | None = None,
    ) -> Ledger:
        """Make a new ledger; its currency, and the month and day its years begin on, never change afterwards.

        Raises:
            Refused: there is something at that place already, or it cannot be written.
        """
        made = create(target, currency=Currency.of(currency).code, name=name, year_start=year_start)
        return cls(made, clock=clock)

    def _own_clock(self) -> Callable[[], dt.datetime]:
        """The computer's clock, or the day the demo business lives in."""
        with self.store.reading() as conn:
            pretended = setting(conn, "pretend today", "")
        if pretended:
            moment = dt.datetime.combine(dt.date.fromisoformat(pretended), dt.time(12, 0))
            return lambda: moment
        return dt.datetime.now

    def close(self) -> None:
        """Let go of the database."""
        self.store.close()

    def __enter__(self) -> Ledger:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @property
    def name(self) -> str:
        """The name of the business."""
        with self.store.reading() as conn:
            return setting(conn, "business name", "")

    @property
    def currency(self) -> Currency:
        """The currency of every amount in this ledger."""
        return self.store.currency

    @property
    def today(self) -> dt.date:
        """The day it is for this ledger."""
        return self._clock().date()

    @property
    def scene(self) -> Scene:
        """What a plan may know besides the ledger."""
        moment = self._clock()
        return Scene(moment.date(), moment.strftime("%Y-%m-%dT%H:%M"), self.currency, self._memo)

    def preview(self, command: object) -> Plan:
        """Check a command and say what would be recorded; writes nothing.

        Raises:
            Refused: it cannot be recorded, and why.
        """
        handler = self.handler(command)
        with self.store.reading() as conn:
            return handler.plan(conn, command, self.scene)

    def what_changes(self, command: object) -> Consequences:
        """What would be recorded, and which figures of the costing would change and by how much; saves nothing.

        The act is tried in a transaction that is taken back, so it waits for others who write; they wait only while
        it is tried and the ledger read, not while the costs are shared.

        Raises:
            Refused: it cannot be recorded, and why.
            ReadOnly: the ledger is open for reading only.
        """
        from ledger.books.changes import Consequences, Read, changes, figures, read

        handler = self.handler(command)
        moment = self.scene
        # What is kept in memory between acts must not learn of a trial.
        scene = Scene(moment.today, moment.now, moment.currency)
        tried: tuple[Done, Read, Read] | None = None

        def work(conn: Connection, operation: int) -> Done:
            return carry_out(conn, handler, command, Act(operation, scene))

        try:
            with self.store.writing() as conn:
                before = read(conn, scene.today)
                done = perform_within(
                    conn,
                    token=new_token(time.time_ns()),
                    kind=type(command).__name__,
                    digest=digest_of(command),
                    source="trial",
                    by=self.by,
                    work=work,
                )
                tried = done, before, read(conn, scene.today)
                raise _OnlyATrial
        except _OnlyATrial:
            pass
        assert tried is not None
        done, before, after = tried
        return Consequences(done.sentence, done.cautions, changes(figures(before), figures(after)))

    def do(
        self,
        command: object,
        *,
        token: str | None = None,
        source: str = "command",
        before_saving: Callable[[], None] = lambda: None,
    ) -> Done:
        """Record a command in one transaction.

        Args:
            command: what is to be recorded.
            token: made when the form opened; the same token records once, whatever is retried.
            source: where it was said: screen, command, demo, import.
            before_saving: called once all is written and before it is saved; what it raises leaves all as it was.

        Raises:
            Refused: it was not recorded, and why; nothing changed.
        """
        handler = self.handler(command)
        scene = self.scene

        def work(conn: Connection, operation: int) -> Done:
            written = carry_out(conn, handler, command, Act(operation, scene))
            before_saving()
            return written

        done = perform(
            self.store,
            token=token or new_token(time.time_ns()),
            kind=type(command).__name__,
            digest=digest_of(command),
            source=source,
            by=self.by,
            work=work,
        )
        self.recorded()
        return done

    def done_elsewhere(self, command: object, token: str, source: str) -> Done | None:
        """Whether a command that another process was at was saved: what was answered, or None for certainly not.

        Raises:
            NotKnown: the ledger could not be asked.
        """
        from ledger.records.operations import answer_of

        kind, digest = type(command).__name__, digest_of(command)
        done = answer_of(self.store, token=token, kind=kind, digest=digest, source=source, by=self.by)
        if done is not None:
            self.recorded()
        return done

    @contextmanager
    def together(self, source: str) -> Iterator[Together]:
        """Record many acts, each with an operation of its own, in one transaction: all are saved, or none.

        Args:
            source: where they come from, such as 'demo'.
        """
        with self.store.writing() as conn:
            yield Together(self, conn, source)
        self.recorded()

    def do_all(
        self,
        commands: Acts | Callable[[], Acts],
        *,
        content: str,
        token: str | None = None,
        source: str = "command",
        sentences: bool = True,
    ) -> tuple[Done, ...]:
        """Record several commands in one transaction and as one act: all of them, or none.

        Args:
            commands: for each, what to call it in a refusal ('Line 3') and how to make it; it is made when its turn
                comes, and so may name what those before it recorded. Of very many, what gives them one by one: it is
                called anew if all of them are tried again.
            content: what they were made from: the same token with other content is refused.
            token: as for `do`.
            source: as for `do`.
            sentences: whether the sentences of the answers are read; if not, they may be left out.

        Returns:
            One answer for each; a single one for all when a token is repeated.

        Raises:
            BadInput: one of them cannot be recorded; says which and why.
        """
        scene = replace(self.scene, sentences=sentences)
        each: list[Done] = []

        def work(conn: Connection, operation: int) -> Done:
            each.clear()
            act = Act(operation, scene)
            with kept_back(conn):
                for label, make in commands() if callable(commands) else commands:
                    try:
                        command = make(conn)
                        each.append(carry_out(conn, self.handler(command), command, act))
                    except Busy:
                        raise
                    except Refused as refused:
                        said = say("{label}: {sentence} Nothing was recorded.", label=label, sentence=refused.sentence)
                        raise BadInput(said, refused.field, refused.facts) from refused
            cautions = tuple(dict.fromkeys(caution for one in each for caution in one.cautions))
            return Done(say("{each} lines were recorded.", each=len(each)), {"lines": len(each)}, cautions[:20])

        whole = perform(
            self.store,
            token=token or new_token(time.time_ns()),
            kind="lines",
            digest=digest_of(content),
            source=source,
            by=self.by,
            work=work,
        )
        self.recorded()
        return tuple(each) or (whole,)

    def ask(self, question: Callable[Concatenate[Connection, P], T], *args: P.args, **kwargs: P.kwargs) -> T:
        """Answer a question (a query function of one of the parts) on a connection of its own."""
        with self.store.reading() as conn:
            return question(conn, *args, **kwargs)

    # --- questions: each gives the rows of one query function ---------------------------------------------------------

    def species(self) -> tuple[SpeciesRow, ...]:
        """Every species with its stages."""
        from ledger.stock.catalogue import species_rows

        return self.ask(species_rows)

    def lots(self, on: dt.date | None = None, *, lot: str | None = None, empty: bool = False) -> tuple[LotRow, ...]:
        """Lots with what is in them, or one of them; `empty`: also those without animals. Raises NotFound."""
        from ledger.stock.queries import find_lot, lot_rows

        with self.store.reading() as conn:
            only = None if lot is None else [find_lot(conn, lot).id]
            return lot_rows(conn, on or self.today, today=self.today, lots=only, empty=empty)

    def stock(
        self, on: dt.date | None = None, *, species: str | None = None, lot: str | None = None
    ) -> tuple[StockRow, ...]:
        """What is alive by holding, now or at the end of a day, of one species or lot if named.

        Raises:
            NotFound: no such species or lot.
        """
        from ledger.stock.queries import find_lot, find_species, stock_on

        with self.store.reading() as conn:
            kinds = None if species is None else [find_species(conn, species).id]
            lots = None if lot is None else [find_lot(conn, lot).id]
            return stock_on(conn, on, species=kinds, lots=lots)

    def story(self, lot: str) -> tuple[StoryRow, ...]:
        """Everything recorded of a lot, oldest first. Raises NotFound."""
        from ledger.stock.queries import find_lot, lot_story

        with self.store.reading() as conn:
            return lot_story(conn, find_lot(conn, lot), self.currency)

    def entries(self, limit: int = 200, before: int | None = None) -> tuple[EntryRow, ...]:
        """A page of the stock's journal, newest first; `before`: number of the last entry of the page before."""
        from ledger.stock.entries import entries

        return self.ask(entries, self.currency, limit=limit, before=before)

    def ready(self, on: dt.date | None = None) -> tuple[ReadyRow, ...]:
        """What can be sold on a day, what is promised, and what is still soft."""
        from ledger.selling.ready import ready

        return self.ask(ready, on or self.today, self.scene.now, self._origins)

    @cached_property
    def _origins(self) -> OriginMemo:
        """Origins derived so far; it forgets them when something they rest on is recorded."""
        from ledger.origin.memo import OriginMemo

        return OriginMemo()

    @cached_property
    def _costs(self) -> CostMemo:
        """Costs shared so far; only what was recorded since is reckoned anew."""
        from ledger.costs.memo import CostMemo

        return CostMemo()

    def holds(self, *, only_open: bool = False) -> tuple[Hold, ...]:
        """Holds as they stand now, soonest deadline first."""
        from ledger.selling.holds import holds

        return self.ask(holds, self.scene.now, only_open=only_open)

    def queue(self, hold: str | None = None) -> tuple[QueueRow, ...]:
        """Other buyers who wait for the animals of a hold, or of any. Raises NotFound."""
        from ledger.selling.queue import queue

        return self.ask(queue, self.scene.now, hold)

    def owed(self) -> tuple[OwedPaper, ...]:
        """What is owed both ways on sales, and deposits held."""
        from ledger.selling.owed import owed

        return self.ask(owed, self.today, self.scene.now)

    def margins(self, first: dt.date | None = None, until: dt.date | None = None) -> tuple[SaleMargin, ...]:
        """The margin of each sale made from one day to another, oldest first."""
        from ledger.selling.margin import margins

        return self.ask(margins, until or self.today, first)

    def margin(self, number: str) -> SaleMargin:
        """The margin of one sale. Raises NotFound."""
        from ledger.selling.margin import margin_of

        return self.ask(margin_of, number, self.today)

    def parcels(
        self, on: dt.date | None = None, coldest: int | None = None, warmest: int | None = None
    ) -> tuple[Parcel, ...]:
        """What waits to be posted, and what stands against posting it on a day. Raises BadInput."""
        from ledger.selling.parcels import parcels

        return self.ask(parcels, on or self.today, coldest, warmest)

    def claims(self, *, only_open: bool = False, sale: str | None = None) -> tuple[ClaimRow, ...]:
        """Claims of animals that arrived dead, oldest first. Raises NotFound."""
        from ledger.selling.doa import claims

        return self.ask(claims, only_open=only_open, sale=sale)

    def arrivals(self, first: dt.date, last: dt.date) -> tuple[ArrivalsRow, ...]:
        """What was posted from one day to another, and what of it arrived dead, by species."""
        from ledger.selling.arrivals import arrivals

        return self.ask(arrivals, first, last)

    def fairs(self) -> tuple[Fair, ...]:
        """Every fair, oldest first."""
        from ledger.selling.fairs import fairs

        return self.ask(fairs)

    def fair_packs(self, fair: str) -> tuple[FairPackRow, ...]:
        """The packs of a fair by their marks. Raises NotFound."""
        from ledger.selling.fair_packs import fair_packs

        return self.ask(fair_packs, fair)

    def fair_result(self, fair: str) -> FairResult:
        """What a fair comes to. Raises NotFound."""
        from ledger.selling.fair_results import fair_result

        return self.ask(fair_result, fair, self.today)

    def flags(self) -> tuple[FlagRow, ...]:
        """Reminders about rules for species, as entered."""
        from ledger.selling.flags import flag_rows

        return self.ask(flag_rows)

    def loans(self, *, only_open: bool = False) -> tuple[LoanRow, ...]:
        """Breeding loans, oldest first."""
        from ledger.selling.lending import loans

        return self.ask(loans, only_open=only_open)

    def given(self) -> tuple[GivenRow, ...]:
        """Animals that left without a sale, and to whom."""
        from ledger.selling.giving import given

        return self.ask(given)

    def find_customers(self, typed: str, limit: int = 10) -> tuple[CustomerRow, ...]:
        """Customers whose name holds what was typed so far, those that begin with it first."""
        from ledger.selling.customers import find_customers

        return self.ask(find_customers, typed, limit)

    def history(self, customer: str) -> History:
        """Everything on record of a customer. Raises NotFound."""
        from ledger.selling.history import history

        return self.ask(history, customer, self.scene.now)

    def sales(self, limit: int = 200, before: int | None = None) -> tuple[SaleRow, ...]:
        """A page of sales, newest first; `before`: id of the last one of the page before."""
        from ledger.selling.listing import sales

        return self.ask(sales, limit=limit, before=before)

    def sale_row(self, number: str) -> SaleRow | None:
        """The sale of that number as the list of sales has it; nothing if there is none."""
        from ledger.selling.listing import sales

        return next(iter(self.ask(sales, limit=1, number=number)), None)

    def prices(self, on: dt.date | None = None) -> tuple[PriceRow, ...]:
        """The price list of a day."""
        from ledger.selling.listing import prices

        return self.ask(prices, on or self.today)

    def receipt(self, number: str) -> Receipt:
        """The receipt of a sale. Raises NotFound."""
        from ledger.selling.receipt import receipt

        return self.ask(receipt, number, self.currency)

    def receipt_text(self, number: str, width: int = 72) -> str:
        """The receipt of a sale as plain text. Raises NotFound."""
        from ledger.selling.receipt import receipt_text

        return receipt_text(self.receipt(number), width)

    def affected_sales(self) -> tuple[AffectedRow, ...]:
        """Lines of sales whose stated origin no longer reads as the records give it."""
        from ledger.selling.affected import affected_sales

        return self.ask(affected_sales)

    def customers(self) -> tuple[CustomerRow, ...]:
        """Every customer who was not erased, by name."""
        from ledger.selling.customers import find_customers

        return self.ask(find_customers, "", limit=10**6)

    def costs(self, limit: int = 200, before: int | None = None) -> tuple[CostRow, ...]:
        """A page of costs, newest first; `before`: number of the last one of the page before."""
        from ledger.costs.listing import costs

        return self.ask(costs, limit=limit, before=before)

    def in_use(self) -> tuple[OpenRow, ...]:
        """Feed and the like that is open, with how long it is thought to last."""
        from ledger.costs.in_use import in_use

        return self.ask(in_use, self.today)

    def store_items(self, on: dt.date | None = None) -> tuple[StoreRow, ...]:
        """What is in store, with its average price."""
        from ledger.costs.store import store_rows

        return self.ask(store_rows, on or self.today)

    def equipment(self, on: dt.date | None = None) -> tuple[EquipmentRow, ...]:
        """The register of lasting things, with what is left of each."""
        from ledger.costs.equipment import equipment_rows

        return self.ask(equipment_rows, on or self.today)

    def own_hours(self, on: dt.date | None = None) -> tuple[HoursRow, ...]:
        """The keeper's own hours: a memo."""
        from ledger.costs.hours import hours_rows

        return self.ask(hours_rows, on or self.today)

    def late(self, year: int) -> Late:
        """Late facts of an accounting year, and its stock at the end both ways. Raises BadInput."""
        from ledger.books.late import late

        return self.ask(late, year)

    def to_count(self, on: dt.date | None = None) -> tuple[ToCount, ...]:
        """What is in stock, line by line, to be counted."""
        from ledger.books.stock_count import to_count

        return self.ask(to_count, on or self.today)

    def tax_helps(self, on: dt.date | None = None) -> TaxHelps:
        """The keeper's own thresholds and dates to keep records, with what the books come to."""
        from ledger.books.helps import tax_helps

        return self.ask(tax_helps, on or self.today)

    def methods(self) -> tuple[MethodRow, ...]:
        """Every figure of method that was set."""
        from ledger.costs.methods import method_rows

        return self.ask(method_rows)

    def suppliers(self) -> tuple[str, ...]:
        """Everyone something was bought from."""
        from ledger.costs.listing import suppliers

        return self.ask(suppliers)

    def categories(self) -> dict[str, str]:
        """Categories of spending and the kind of each."""
        from ledger.costs.listing import categories

        return self.ask(categories)

    def rearing(
        self, species: str | None = None, lot: str | None = None, on: dt.date | None = None
    ) -> tuple[RearingRow, ...]:
        """The rearing report up to a day: species rows (lot empty) and their lots. Raises NotFound."""
        from ledger.rearing.report import rearing

        return self.ask(rearing, on or self.today, species=species, lot=lot, memo=self._costs)

    def mortality(self, year: int, species: str | None = None) -> tuple[MortalityRow, ...]:
        """What mortality cost each species in an accounting year. Raises BadInput."""
        from ledger.rearing.mortality import mortality

        return self.ask(mortality, year, today=self.today, species=species)

    def curve(self, lot: str, on: dt.date | None = None) -> LotCurve:
        """The survival curve of a lot up to a day. Raises NotFound, and Refused where there is none."""
        from ledger.rearing.curve import curve

        return self.ask(curve, lot, on or self.today)

    def coming(
        self, on: dt.date | None = None, *, species: str | None = None, weeks: int = 12, told: Told = untold
    ) -> tuple[Coming, ...]:
        """What becomes ready in the coming weeks, by species; `told` hears how far it is. Raises NotFound, BadInput."""
        from ledger.rearing.coming import coming

        return self.ask(coming, on or self.today, self.scene.now, species=species, weeks=weeks, told=told)

    def survival_of_lot(self, lot: str, on: dt.date | None = None) -> LotLook:
        """Both questions on a lot's survival with all that belongs to them. Raises NotFound and Refused."""
        from ledger.rearing.look import look_at_lot

        return self.ask(look_at_lot, lot, on or self.today)

    def survival_of_species(
        self, species: str, on: dt.date | None = None, *, animals: int | None = None
    ) -> SpeciesLook:
        """The lots of a species one by one and together, and what the next may come to. Raises NotFound, Refused."""
        from ledger.rearing.look import look_at_species

        return self.ask(look_at_species, species, on or self.today, animals=animals)

    def stage_times(self, species: str, on: dt.date | None = None) -> tuple[StageTime, ...]:
        """How long each stage takes, and what that rests on. Raises NotFound."""
        from ledger.rearing.times_of import stage_times

        return self.ask(stage_times, species, on or self.today)

    def dates_ahead(
        self, species: str, stage: str, entered_on: dt.date, on: dt.date | None = None
    ) -> tuple[DateAhead, ...]:
        """When animals that entered a stage on a day are to be expected in each later one. Raises Refused."""
        from ledger.rearing.times_of import dates_ahead

        return self.ask(dates_ahead, species, stage, entered_on, on or self.today)

    def rear_or_sell(
        self,
        lot: str,
        on: dt.date | None = None,
        *,
        stage: str | None = None,
        price_now: int | None = None,
        price_later: int | None = None,
        upkeep_a_day: float | None = None,
        buyers: Buyers = None,
        interest: float = 0.0,
    ) -> Choices:
        """Sell a lot's young now or rear them on; what is not given is taken from the ledger. Raises Refused."""
        from ledger.rearing.choosing import rear_or_sell

        return self.ask(
            rear_or_sell,
            lot,
            on or self.today,
            self.currency,
            stage=stage,
            price_now=price_now,
            price_later=price_later,
            upkeep_a_day=upkeep_a_day,
            buyers=buyers,
            interest=interest,
        )

    def how_many_to_start(
        self, species: str, wanted: int, on: dt.date | None = None, *, stage: str | None = None
    ) -> Start:
        """How many young to start for a wanted number reared. Raises NotFound and Refused."""
        from ledger.rearing.starting import how_many_to_start

        return self.ask(how_many_to_start, species, wanted, on or self.today, stage=stage)

    def what_to_charge(
        self, species: str, on: dt.date | None = None, *, margin: float = 0.0, survival: float | None = None
    ) -> Charge:
        """The least to ask for a reared animal, and what another survival would be worth. Raises Refused."""
        from ledger.rearing.charging import what_to_charge

        return self.ask(what_to_charge, species, on or self.today, self.currency, margin=margin, survival=survival)

    def outlook_record(self, species: str | None = None) -> tuple[Record, ...]:
        """Kept outlooks of weeks that are over, held against what came. Raises NotFound."""
        from ledger.rearing.kept import record

        return self.ask(record, self.today, species)

    def origin(self, lot: str) -> Provenance:
        """The chain of a lot back to its founders, with its gaps. Raises NotFound."""
        from ledger.origin.service import provenance_of
        from ledger.stock.queries import find_lot

        with self.store.reading() as conn:
            return provenance_of(conn, find_lot(conn, lot).id)

    def due(self) -> tuple[DueRow, ...]:
        """Everything that needs doing, the longest due first."""
        from ledger.books.due import due

        return self.ask(due, self.scene)

    def round_tubs(self) -> tuple[RoundTub, ...]:
        """Every tub with what is in it and when it is next looked at, in shelf order."""
        from ledger.books.rounds_due import round_tubs

        return self.ask(round_tubs, self.scene)

    def income(self, year: int) -> Income:
        """The income of an accounting year on both bases. Raises BadInput."""
        from ledger.books.income import income

        return self.ask(income, year)

    def before_closing(self, year: int) -> BeforeClosing:
        """What is missing before an accounting year is closed, also while it lasts. Raises BadInput."""
        from ledger.books.missing import before_closing

        return self.ask(before_closing, year, self.scene)

    def valuation(self, year: int) -> Valuation:
        """The stock of a year at actual and at standard cost, and where its value is lower. Raises BadInput."""
        from ledger.books.valuation import valuation

        return self.ask(valuation, year)

    def checks(self, year: int) -> tuple[Check, ...]:
        """Whether the books of a year add up, check by check. Raises BadInput."""
        from ledger.books.checks import checks_of
        from ledger.books.year import year_books

        return checks_of(self.ask(year_books, year))

    def state(self) -> tuple[dt.date, int, str] | None:
        """What stays the same while nothing is recorded and the day lasts; `None` where nothing tells."""
        from ledger.costs.memo import newest_act

        act = self.ask(newest_act)
        return None if act is None else (self.today, *act)

    def prove(self) -> tuple[Finding, ...]:
        """Everything in the whole ledger that does not add up; empty when all does."""
        from ledger.books.prove import prove

        return self.ask(prove)

    def vocabulary(self) -> Names:
        """The names that a line in the keeper's own words may use."""
        from ledger.books.vocabulary import names

        return self.ask(names)

    @staticmethod
    def handler(command: object) -> Handler:
        """The plan and the commit of a command. Raises BadInput for what is none."""
        try:
            return handlers()[type(command)]
        except KeyError:
            raise BadInput(say("{name} is not something a ledger records.", name=type(command).__name__)) from None


class Together:
    """Acts that are saved together; see `Ledger.together`."""

    def __init__(self, ledger: Ledger, conn: Connection, source: str) -> None:
        self._ledger = ledger
        self._conn = conn
        self._source = source

    def do(self, command: object) -> Done:
        """Record one of the acts; one that is refused leaves nothing behind, and the others stand.

        Raises:
            Refused: it was not recorded, and why.
        """
        handler = self._ledger.handler(command)
        scene = self._ledger.scene

        def work(conn: Connection, operation: int) -> Done:
            return carry_out(conn, handler, command, Act(operation, scene))

        return perform_within(
            self._conn,
            token=new_token(time.time_ns()),
            kind=type(command).__name__,
            digest=digest_of(command),
            source=self._source,
            by=self._ledger.by,
            work=work,
        )

    def ask(self, question: Callable[Concatenate[Connection, P], T], *args: P.args, **kwargs: P.kwargs) -> T:
        """Answer a question with the acts so far counted in."""
        return question(self._conn, *args, **kwargs)

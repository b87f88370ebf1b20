"""The lots of the demo and what happened on fixed days, so that text about it stays true."""

from __future__ import annotations

import datetime as dt
from functools import partial

from demo.animals import Animal, Group
from demo.parameters import LIVES_WITHOUT_MATING, STUCK_HEATER
from demo.world import World
from ledger.origin.commands import EndExposure, Expose, SayVirgin
from ledger.selling.commands import GiveAway, Pick
from ledger.stock.commands import (
    Arrival,
    FreeKept,
    HatchOut,
    KeepBack,
    Mark,
    MergeLots,
    Move,
    OriginStatement,
    Record,
    SaveRound,
)

Day = dt.date
OWN = OriginStatement("CBU", evidence=1, note="kept here since before the ledger was opened")
BRED_BY_SUPPLIER = OriginStatement("CBU", evidence=1, supplier="Pellow Feeder Farm", country="XA")
IMPORTED = OriginStatement(
    "WC", evidence=2, country="XB", supplier="Pellow Feeder Farm", documents="import papers XB-24-118"
)
SECOND_IMPORT = OriginStatement(
    "WC", evidence=2, country="XB", supplier="Pellow Feeder Farm", documents="import papers XB-25-031"
)


def plan(world: World) -> None:
    """Put every lot and every fixed event on its day."""
    _beetles(world)
    _stick_insects(world)
    _mantids(world)
    _isopods(world)
    _geckos(world)


def _days(day: Day, count: int) -> Day:
    return day + dt.timedelta(days=count)


# --- sun beetles ---


def _beetles(world: World) -> None:
    draw = world.draw

    def founders() -> None:
        world.lot(
            "P01",
            "PACH",
            [Arrival("bought", "adult", males=7, females=9, value=4000)],
            origin=BRED_BY_SUPPLIER,
            purpose="breeding",
            part=0.2,
            place="rack, upper",
        )
        world.do(Expose("P01", "P01", world.today, witnessed=True, evidence="kept together in one tank"))

    def larvae() -> None:
        world.lot("P02", "PACH", [Arrival("bought", "L3", unsexed=110, value=4500)], origin=BRED_BY_SUPPLIER, part=0.5)

    world.at(Day(2024, 1, 3), founders)
    world.at(Day(2024, 1, 4), larvae)
    # kept back from the second lot, they breed when the founders have died
    world.at(Day(2024, 6, 10), partial(_keep_breeders, world, "P02", 6, 8, "to breed from"))

    sieved = [Day(2024, 2, 22)]
    while len(sieved) < 5:
        sieved.append(_days(sieved[-1], draw.randint(46, 59)))
    sieved.append(Day(2024, 12, 7))
    while len(sieved) < 12:
        sieved.append(_days(sieved[-1], draw.randint(46, 59)))
    for number, day in enumerate(sieved):
        code = f"P{number + 3:02}"
        mother = "P01" if day < Day(2024, 6, 20) else "P02" if day < Day(2025, 1, 20) else "P05"
        world.at(day, partial(_sieving, world, code, mother, 65 if code == "P08" else draw.randint(65, 85)))
    world.at(Day(2024, 12, 1), partial(_keep_breeders, world, "P05", 5, 7, "to breed from"))
    world.at(Day(2025, 3, 30), partial(_found, world, "P10", 3))
    world.at(Day(2025, 5, 3), partial(_mix_up, world))
    world.at(Day(2024, 10, 1), partial(_want_specimens, world, 18))


def _keep_breeders(world: World, code: str, males: int, females: int, why: str) -> None:
    group = world.groups[code]
    for sex, wanted in (("male", males), ("female", females)):
        there = group.alive("adult", sex)[-wanted:]
        if not there:
            continue
        done = world.do(KeepBack(code, len(there), why, world.today, stage="adult", sex=sex))
        for animal in there:
            animal.reserved = animal.still = True
        world.at(_days(world.today, 130), partial(_grow_old, world, int(done.refs["earmark"]), there))
    world.do(Expose(code, code, world.today, witnessed=True, evidence="kept together in one tank"))


def _grow_old(world: World, earmark: int, animals: list[Animal]) -> None:
    """Kept breeders are past breeding, and die one after the other."""
    world.do(FreeKept(earmark, world.today))
    for animal in animals:
        animal.reserved = animal.still = False
        animal.dies = True
        animal.due = world.today.toordinal() + world.draw.randint(5, 60)


def _sieving(world: World, code: str, mother: str, count: int) -> None:
    """Young found at a sieving: second-stage grubs of a range of hatching days."""
    first, last = _days(world.today, -45), _days(world.today, -12)
    world.lot(
        code,
        "PACH",
        [Arrival("hatched", "L2", unsexed=count)],
        mothers=(mother,),
        started_from=first,
        laid=(_days(first, -28), _days(last, -21)),
        part=0.3,
        place="rack, lower",
        survival=STUCK_HEATER if code == "P08" else {},
    )


def _found(world: World, code: str, count: int) -> None:
    """More than the ledger says, and nobody knows why: the origin's evidence is lowered until it is explained."""
    group = world.groups[code]
    stage = max((step.stage for step in group.steps[:6]), key=lambda name: len(group.alive(name)), default="L3")
    world.do(
        Record(code, (Move("found", count, stage=stage, sex="unsexed", tub=""),), world.today, note="counted twice")
    )
    world.fate.add(group, stage, count, world.today.toordinal(), part=0.5)


def _mix_up(world: World) -> None:
    """Two tubs of grubs end up in one."""
    codes = ("P09", "P10")
    world.do(MergeLots(codes, "P15", world.today, reason="mixed by accident", note="lids swapped while cleaning"))
    one, two = (world.groups.pop(code) for code in codes)
    merged = Group("P15", "PACH", one.steps, one.every, one.offset, [*one.animals, *two.animals])
    world.groups["P15"] = merged


def _want_specimens(world: World, count: int) -> None:
    world.specimens_wanted = count


# --- stick insects ---


def _stick_insects(world: World) -> None:
    draw = world.draw

    def adults() -> None:
        world.lot(
            "E01",
            "EXTA",
            [
                Arrival("bought", "adult", males=4, females=4, tub="pairs", value=2400),
                Arrival("bought", "L4-6 nymph", females=2, tub="solo", value=600),
            ],
            origin=BRED_BY_SUPPLIER,
            purpose="breeding",
            part=0.1,
        )
        for animal in world.groups["E01"].animals:
            if animal.tub == "solo":
                animal.dies = False
        world.do(Expose("E01/pairs", "E01/pairs", world.today, witnessed=True, evidence="kept together"))

    def eggs() -> None:
        world.lot("E02", "EXTA", [Arrival("bought", "egg", unsexed=180, value=2500)], origin=BRED_BY_SUPPLIER, part=0.4)

    world.at(Day(2024, 1, 6), adults)
    world.at(Day(2024, 1, 9), eggs)
    for number, day in enumerate(
        (
            Day(2024, 2, 15),
            Day(2024, 5, 12),
            Day(2024, 8, 10),
            Day(2024, 11, 14),
            Day(2025, 2, 12),
            Day(2025, 5, 15),
            Day(2025, 8, 14),
        )
    ):
        mother = "E01/pairs" if day < Day(2024, 10, 1) else "E02" if day < Day(2025, 6, 1) else "E03"
        world.at(day, partial(_eggs, world, f"E{number + 3:02}", mother, draw.randint(120, 160)))
    world.at(Day(2024, 9, 20), partial(_keep_breeders, world, "E02", 3, 5, "to breed from"))
    world.at(Day(2025, 3, 1), partial(_keep_breeders, world, "E03", 3, 5, "to breed from"))
    world.at(Day(2024, 7, 20), partial(_without_mating, world))
    world.at(Day(2025, 3, 30), partial(_fewer_eggs, world, "E06", 9))
    world.at(Day(2025, 9, 18), partial(_gift, world, 10))


def _eggs(world: World, code: str, mother: str, count: int) -> None:
    world.lot(
        code,
        "EXTA",
        [Arrival("laid", "egg", unsexed=count)],
        mothers=(mother,),
        started_from=_days(world.today, -30),
        laid=(_days(world.today, -30), world.today),
        place="egg shelf",
    )


def _without_mating(world: World) -> None:
    """Two females kept apart since they were young lay eggs that hatch without a male."""
    world.lot(
        "E10",
        "EXTA",
        [Arrival("laid", "egg", unsexed=60)],
        mothers=("E01/solo",),
        laid=(_days(world.today, -40), world.today),
        steps=LIVES_WITHOUT_MATING,
        all_female=True,
        place="egg shelf",
    )


def _fewer_eggs(world: World, code: str, fewer: int) -> None:
    """A count of eggs comes out lower than the ledger."""
    group = world.groups[code]
    there = group.alive("egg")
    gone = there[: min(fewer, len(there))]
    if gone:
        world.do(
            Record(
                code,
                (Move("missing", len(gone), stage="egg", sex="unsexed", tub=""),),
                world.today,
                note="eggs counted",
            )
        )
        world.leave(group, gone)
        world.do(SaveRound((Mark(code, "counted", stage="egg", count=len(group.alive("egg"))),), world.today))


def _gift(world: World, count: int) -> None:
    """A school asks for nymphs: from the first lot that has as many in one tub."""
    for group in world.groups.values():
        if group.species != "EXTA" or group.breeding:
            continue
        for stage in ("L1-3 nymph", "L4-6 nymph"):
            there = [animal for animal in group.alive(stage, "unsexed") if not animal.tub]
            if len(there) >= count:
                picks = (Pick(group.code, count, stage, "unsexed", ""),)
                world.do(GiveAway(picks, world.today, "sample", to="Quillmere School", note="for a school class"))
                world.leave(group, there[:count])
                return


# --- mantids ---


def _mantids(world: World) -> None:
    draw = world.draw

    def imported() -> None:
        world.lot(
            "H01",
            "HIER",
            [
                *(Arrival("bought", "L4-7 nymph", males=1, tub=f"m{n:02}", value=800) for n in (1, 2, 3)),
                *(Arrival("bought", "L4-7 nymph", females=1, tub=f"f{n:02}", value=800) for n in (1, 2, 3, 4)),
                Arrival("bought", "adult", females=1, tub="f05", value=1400),
            ],
            origin=IMPORTED,
            purpose="breeding",
            part=0.7,
        )
        for animal in world.groups["H01"].animals:
            animal.dies = False
            animal.due = world.today.toordinal() + (28 if animal.step == 1 else 130)
        world.do(SayVirgin("H01/f05", "yes", world.today, "said by the supplier"))

    world.at(Day(2024, 2, 3), imported)
    world.at(Day(2024, 3, 9), partial(_pair, world, "H01/f05", "H01/m01", 5))
    _ootheca(world, "H02", "H01/f05", Day(2024, 3, 20), 42, 62)
    world.at(Day(2024, 7, 5), partial(_f05_was_mated, world))
    for code, number, laid in (
        ("H03", 1, Day(2024, 5, 8)),
        ("H04", 2, Day(2024, 5, 20)),
        ("H05", 3, Day(2024, 6, 3)),
    ):
        world.at(_days(laid, -18), partial(_pair, world, f"H01/f{number:02}", f"H01/m{number:02}", 6))
        _ootheca(world, code, f"H01/f{number:02}", laid, draw.randint(38, 45), draw.randint(55, 75))
    world.at(Day(2024, 11, 20), partial(_pair, world, "H03", "H04", 60))
    for code, laid in (("H06", Day(2024, 12, 10)), ("H07", Day(2025, 1, 6)), ("H08", Day(2025, 2, 4))):
        _ootheca(world, code, "H03", laid, draw.randint(40, 50), draw.randint(50, 70))

    def second() -> None:
        world.lot(
            "H11",
            "HIER",
            [Arrival("bought", "L4-7 nymph", males=1, females=2, value=4000)],
            origin=SECOND_IMPORT,
            purpose="breeding",
            part=0.7,
        )
        for animal in world.groups["H11"].animals:
            animal.dies = False
            animal.due = world.today.toordinal() + 30

    world.at(Day(2025, 3, 8), second)
    world.at(Day(2025, 6, 12), partial(_pair, world, "H11", "H06", 12))
    _ootheca(world, "H12", "H11", Day(2025, 7, 1), 44, 60)
    world.at(Day(2025, 7, 20), partial(_pair, world, "H06", "H07", 70))
    for code, laid in (("H09", Day(2025, 8, 9)), ("H10", Day(2025, 8, 24)), ("H13", Day(2025, 9, 15))):
        _ootheca(world, code, "H06", laid, draw.randint(40, 50), draw.randint(50, 70))


def _pair(world: World, female: str, male: str, days: int) -> None:
    done = world.do(Expose(female, male, world.today, witnessed=True, evidence="paired on the table"))
    number = int(done.refs["exposure"])
    end = _days(world.today, days)
    world.at(end, lambda: world.do(EndExposure(number, end)))


def _ootheca(world: World, code: str, mother: str, laid: Day, wait: int, young: int) -> None:
    def lay() -> None:
        world.lot(code, "HIER", [Arrival("laid", "ootheca", unsexed=1)], mothers=(mother,), laid=(laid, laid))

    def hatch() -> None:
        group = world.groups[code]
        world.do(HatchOut(code, 1, young, "L1-3 nymph", world.today))
        world.fate.add(group, "L1-3 nymph", young, world.today.toordinal())

    world.at(laid, lay)
    world.at(_days(laid, wait), hatch)


def _f05_was_mated(world: World) -> None:
    world.do(SayVirgin("H01/f05", "no", Day(2024, 2, 3), "supplier now says she was with males before sending"))


# --- isopods ---


def _isopods(world: World) -> None:
    draw = world.draw

    def colony(code: str, reason: str, estimate: int, value: int | None) -> None:
        world.lot(
            code,
            "PORC",
            [Arrival(reason, "colony", unsexed=1, value=value)],
            origin=OWN if reason == "opening" else BRED_BY_SUPPLIER,
            purpose="breeding",
            place="floor shelf",
        )
        world.do(SaveRound((Mark(code, "estimated", stage="colony", count=estimate),), world.today))

    world.at(Day(2024, 1, 2), partial(colony, "C01", "opening", 250, None))
    world.at(Day(2024, 1, 2), partial(colony, "C02", "opening", 120, None))
    world.at(Day(2024, 1, 20), partial(colony, "C03", "bought", 60, 2400))

    def harvest(code: str, source: str, count: int) -> None:
        world.lot(code, "PORC", [Arrival("harvested", "manca", unsexed=count)], colony=source)

    for number, (day, source) in enumerate(
        (
            (Day(2024, 2, 10), "C01"),
            (Day(2024, 5, 18), "C01"),
            (Day(2024, 8, 24), "C02"),
            (Day(2024, 12, 14), "C01"),
            (Day(2025, 4, 5), "C02"),
            (Day(2025, 8, 2), "C03"),
        )
    ):
        world.at(day, partial(harvest, f"I{number + 1:02}", source, draw.randint(240, 300)))

    def sampled() -> None:
        world.do(
            SaveRound((Mark("C01", "estimated", stage="colony", count=190, note="sampled a quarter"),), world.today)
        )

    world.at(Day(2025, 3, 30), sampled)


# --- geckos ---


def _geckos(world: World) -> None:
    draw = world.draw

    def breeders() -> None:
        arrivals = [Arrival("opening", "adult", males=1, tub=f"m{n}") for n in (1, 2)]
        arrivals += [Arrival("opening", "adult", females=1, tub=f"f{n}") for n in range(1, 6)]
        world.lot("G01", "GECK", arrivals, origin=OWN, purpose="breeding", place="gecko rack")

    def held_back() -> None:
        arrivals = [Arrival("opening", "juvenile", unsexed=1, tub=f"h{n}") for n in range(1, 9)]
        world.lot("G02", "GECK", arrivals, origin=OWN, part=0.3, place="gecko rack")

    world.at(Day(2024, 1, 2), breeders)
    world.at(Day(2024, 1, 2), held_back)
    world.at(Day(2024, 2, 1), partial(_pair, world, "G01", "G01", 250))
    world.at(Day(2025, 2, 1), partial(_pair, world, "G01", "G01", 250))
    days = [
        Day(2024, 3, 20),
        Day(2024, 4, 22),
        Day(2024, 5, 25),
        Day(2024, 6, 28),
        Day(2024, 7, 22),
        Day(2024, 8, 20),
        Day(2025, 3, 18),
        Day(2025, 4, 25),
        Day(2025, 5, 28),
        Day(2025, 7, 1),
        Day(2025, 8, 12),
    ]
    for number, day in enumerate(days):
        world.at(day, partial(_clutch, world, f"G{number + 3:02}", f"f{number % 5 + 1}", draw.randint(4, 9)))
    world.at(Day(2025, 2, 10), partial(_loan, world))
    world.at(Day(2025, 5, 31), partial(_loan_back, world))


def _clutch(world: World, code: str, mother: str, count: int) -> None:
    world.lot(
        code,
        "GECK",
        [Arrival("laid", "egg", unsexed=count)],
        mothers=(f"G01/{mother}",),
        laid=(_days(world.today, -3), world.today),
        place="incubator",
    )
    world.at(_days(world.today, 2), partial(_into_incubator, world, code))
    world.at(_days(world.today, 75), partial(_into_tubs, world, code))


def _into_incubator(world: World, code: str) -> None:
    group = world.groups[code]
    there = group.alive("egg")
    moves = [
        Move("tub moved", 1, stage="egg", sex="unsexed", tub="", to_tub=f"inc-{n}") for n in range(1, len(there) + 1)
    ]
    if moves:
        world.do(Record(code, tuple(moves), world.today, note="each egg in a cup of its own"))
        for n, animal in enumerate(there, 1):
            animal.tub = f"inc-{n}"


def _into_tubs(world: World, code: str) -> None:
    group = world.groups[code]
    there = group.alive("hatchling")
    moves = [
        Move("tub moved", 1, stage="hatchling", sex="unsexed", tub=animal.tub, to_tub=f"t{n}")
        for n, animal in enumerate(there, 1)
    ]
    if moves:
        world.do(Record(code, tuple(moves), world.today))
        for n, animal in enumerate(there, 1):
            animal.tub = f"t{n}"


def _loan(world: World) -> None:
    world.lot(
        "G14",
        "GECK",
        [Arrival("lent in", "adult", males=1, tub="m9")],
        origin=OriginStatement("CBU", evidence=1, supplier="a friend of the house"),
        purpose="breeding",
    )
    _pair(world, "G01/f2", "G14/m9", (Day(2025, 5, 31) - world.today).days)


def _loan_back(world: World) -> None:
    world.do(
        Record("G14", (Move("loan returned", 1, stage="adult", sex="male", tub="m9"),), world.today, note="back home")
    )
    world.groups["G14"].animals.clear()

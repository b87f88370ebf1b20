"""The sheets of income and checks: where all others come together, in live formulas."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from exports.workbook.sheet import FIRST_ROW, Cell, Column, Live, Overall, Shown, Table, cell_name, money
from ledger.books import lines
from ledger.books.checks import ADDS_UP, LOOK, MONEY, NOTE, Check
from ledger.books.income import IncomeLine
from ledger.books.paper_rows import KEPT, SWAP
from ledger.books.stock_rows import SOLD
from ledger.books.year import YearBooks
from ledger.money import Currency

_NO, _CASH, _ACCRUALS = 1, 3, 4
"""Columns of the income."""


def income(books: YearBooks, currency: Currency) -> Table:
    """The income on both bases, the same from what went out, and the bridge from cash to accruals."""
    result = books.income
    first = FIRST_ROW
    last = first + len(result.lines) - 1
    rows: list[list[Cell]] = [_row(_part(line), line, currency) for line in result.lines]
    whole = IncomeLine(
        lines.RESULT, lines.NAMES[lines.RESULT], result.cash_result, result.accruals_result, "sum of the lines above"
    )
    cash, accruals = (_sum(column, first, last) for column in (_CASH, _ACCRUALS))
    rows.append(_row("Result", whole, currency, cash, accruals))
    result_row = last + 1
    upper = sum(1 for line in result.lines if line.number <= lines.DEPOSITS)
    start = result_row + 1
    for line in result.again:
        formula = {
            lines.INCOME_AGAIN: _sum(_ACCRUALS, first, first + upper - 1),
            lines.RESULT_AGAIN: _sum(_ACCRUALS, start, start + len(result.again) - 2),
        }.get(line.number)
        rows.append(_row("What went out", line, currency, None, formula))
    start += len(result.again)
    changes = {line.number: cell_name(FIRST_ROW + place, _ACCRUALS) for place, line in enumerate(result.lines)}
    above = {
        lines.CASH_RESULT: f"={cell_name(result_row, _CASH)}",
        lines.BRIDGE_RESULT: _sum(_ACCRUALS, start, start + len(result.bridge) - 2),
        **{bridge: f"={changes[change]}" for bridge, change in zip(_BRIDGED, lines.CHANGES, strict=True)},
    }
    rows += [_row("Bridge", line, currency, None, above.get(line.number)) for line in result.bridge]
    return Table(
        "Income",
        "Income",
        f"Working paper, not a tax return. All amounts in {currency.code}; costs are negative.",
        (
            Column("Part", "text", 14),
            Column("No", "number", 7),
            Column("Line", "wide", 46),
            Column("Cash", "money", 14),
            Column("Accruals", "money", 14),
            Column("How it is made", "wide", 58),
        ),
        rows,
    )


_BRIDGED = (lines.BRIDGE_STOCK, lines.BRIDGE_BROOD, lines.BRIDGE_UNUSED, lines.BRIDGE_EQUIPMENT)


def _part(line: IncomeLine) -> str:
    if line.number in lines.CHANGES:
        return "Changes"
    return "Income" if line.number <= lines.PROCEEDS else "Costs"


def _sum(column: int, first: int, last: int) -> str:
    return f"=SUM({cell_name(first, column)}:{cell_name(last, column)})"


def _row(
    part: str, line: IncomeLine, currency: Currency, cash: str | None = None, accruals: str | None = None
) -> list[Cell]:
    if cash is None and accruals is None:
        cash, accruals = _formulas(line.number)
    return [
        part,
        line.number,
        line.name,
        _live(cash, line.cash, currency),
        _live(accruals, line.accruals, currency),
        line.how,
    ]


def _live(formula: str | None, minor: int | None, currency: Currency) -> Cell:
    if minor is None or formula is None:
        return None
    return Live(formula, float(money(minor, currency)))


_OWN = "Income[[#This Row],[No]]"


def _formulas(number: int) -> tuple[str | None, str | None]:
    """Cash and accruals of a line."""
    if number in _SPECIAL:
        return _SPECIAL[number]
    if number <= lines.CHARGES:
        return f"=SUMIFS(Receipts[Cash],Receipts[Income line],{_OWN})", f"=SUMIFS(Sales[Net],Sales[Income line],{_OWN})"
    if lines.COST_SOLD <= number <= lines.BROOD_ENDED:
        return None, f"=-SUMIFS(Movements[Cost],Movements[Income line],{_OWN})"
    own = f"SUMIFS(Costs[{{}}],Costs[Income line],{_OWN})"
    refunded = own.format("Refunded")
    return f"={refunded}-{own.format('Paid')}", f"={refunded}-{own.format('Cost')}"


def _stock_change(kind: str) -> str:
    return f'=SUMIFS(Stock[Cost at end],Stock[Kind],"{kind}")-SUMIFS(Stock[Cost at start],Stock[Kind],"{kind}")'


def _owed_change(criterion: str) -> str:
    def side(when: str) -> str:
        more = f',Owed[{when}],"{criterion}"' if criterion[0] in "<>" else ""
        kind = "sale" if more else criterion
        return f'SUMIFS(Owed[{when}],Owed[Kind],"{kind}"{more})'

    return f"={side('At end')}-{side('At start')}"


_SPECIAL: dict[int, tuple[str | None, str | None]] = {
    lines.DEPOSITS: (
        f"=SUMIFS(Receipts[Cash],Receipts[Income line],{_OWN})",
        f'=-SUMIFS(Receipts[Amount],Receipts[How],"{KEPT}")',
    ),
    lines.DEPOSITS_HELD_END: (None, '=-SUMIFS(Owed[At end],Owed[Kind],"hold")'),
    lines.DEPOSITS_HELD_START: (None, '=SUMIFS(Owed[At start],Owed[Kind],"hold")'),
    lines.DEPOSITS_COUNTED: (
        None,
        f"=SUMIFS(Income[Accruals],Income[No],{lines.DEPOSITS_HELD_END})"
        f"+SUMIFS(Income[Accruals],Income[No],{lines.DEPOSITS_HELD_START})",
    ),
    lines.PROCEEDS: ("=SUM(Equipment[Proceeds])", "=SUM(Equipment[Proceeds])"),
    lines.STOCK_CHANGE: (None, _stock_change("<>brood")),
    lines.BROOD_CHANGE: (None, _stock_change("brood")),
    lines.UNUSED_CHANGE: (None, "=SUM(Costs[Not used up at end])-SUM(Costs[Not used up at start])"),
    lines.EQUIPMENT_CHANGE: (None, "=SUM(Equipment[At end])-SUM(Equipment[At start])"),
    lines.SELLING_AGAIN: (
        None,
        f"=SUMIFS(Costs[Refunded],Costs[Income line],{lines.SELLING})"
        f"-SUMIFS(Costs[Cost],Costs[Income line],{lines.SELLING})",
    ),
    lines.DISPOSED: (None, "=SUM(Equipment[Proceeds])-SUM(Equipment[Left at disposal])"),
    lines.OWED_BY_CUSTOMERS: (None, _owed_change(">0")),
    lines.PAID_AHEAD: (None, _owed_change("<0")),
    lines.DEPOSITS_HELD: (None, _owed_change("hold")),
    lines.OWED_TO_SUPPLIERS: (None, _owed_change("cost")),
    lines.SWAPS_OUT: (None, f'=SUMIFS(Receipts[Amount],Receipts[How],"{SWAP}")'),
    lines.SWAPS_IN: (None, "=-SUM(Costs[Swapped])"),
}


# --- checks ---------------------------------------------------------------------------------------------------------

OVERALL_NAME = "Open_checks"
OPEN = f'=ROWS(Checks[Result])-COUNTIF(Checks[Result],"{ADDS_UP}")-COUNTIF(Checks[Result],"{NOTE}")'
"""Counts what does not add up, so that an error value never passes."""


def overall(found: Sequence[Check]) -> Overall:
    """What stands above every table."""
    number = sum(1 for check in found if not check.holds)
    return Overall(
        f'=IF({OVERALL_NAME}=0,"{ADDS_UP}",{OVERALL_NAME}&" to look at")', f"{number} to look at" if number else ADDS_UP
    )


def checks(found: Sequence[Check], currency: Currency) -> Table:
    """Every check with both sides live, as far as two sheets have them."""
    rows: list[list[Cell]] = []
    for number, check in enumerate(found, start=1):
        left, right = _SIDES.get(check.key, (None, None))
        first, second = _side(left, check.first, check, currency), _side(right, check.second, check, currency)
        difference = money(check.difference, currency) if check.unit == MONEY else check.difference
        rows.append(
            [
                number,
                check.name,
                first,
                second,
                difference,
                "remark" if check.remark else "check",
                check.result,
                check.advice,
            ]
        )
    return Table(
        "Checks",
        "Checks",
        f"Each row holds two sides against each other that were reached differently; amounts in {currency.code}.",
        (
            Column("No", "number", 11),
            Column("Check", "wide", 58),
            Column("First", "plain", 14),
            Column("Second", "plain", 14),
            Column("Difference", "plain", 14, "=ROUND([@First]-[@Second],{digits})"),
            Column("Kind", "text", 9),
            Column("Result", "text", 11, f'=IF([@Difference]=0,"{ADDS_UP}",IF([@Kind]="remark","{NOTE}","{LOOK}"))'),
            Column("What to do", "wide", 50),
        ),
        rows,
    )


def _side(formula: str | None, value: int, check: Check, currency: Currency) -> Cell:
    amount = money(value, currency) if check.unit == MONEY else value
    kind = "money" if check.unit == MONEY else "whole"
    return Shown(amount, kind) if formula is None else Live(formula, float(amount), kind)


def _outside() -> Iterator[str]:
    for column in ("Sales[Date]", "Receipts[Date]", "Movements[Accounted on]"):
        yield f'COUNTIF({column},"<"&First_day)+COUNTIF({column},">"&Last_day)'


def _result(number: int) -> str:
    return f"=SUMIFS(Income[Accruals],Income[No],{number})"


_GONE = f'=-SUMIFS(Movements[Change],Movements[Group],"{SOLD}")'
_SIDES: dict[str, tuple[str | None, str | None]] = {
    "sales": ("=SUM(Sales[Net])", None),
    "sales income": (f'=SUMIFS(Income[Accruals],Income[No],"<={lines.CHARGES}")', "=SUM(Sales[Net])"),
    "origins": ("=SUM(Origins[Net])", '=SUMIFS(Sales[Net],Sales[Origin no],"<>0")'),
    "no origin": ("=COUNTIF(Sales[Origin no],-1)", None),
    "sold": ("=SUM(Sales[Animals])+SUM(Sales[Extra])", _GONE),
    "sold stock": (f"=-SUM(Stock[{SOLD}])", _GONE),
    "stock rows": ('=COUNTIF(Stock[Differs],"<>0")', None),
    "stock": ("=SUM(Stock[At end])", None),
    "stock costed": ("=SUM(Stock[At end])", "=SUM(Stock[In cost sharing])"),
    "late": ("=SUM(Stock[At end])", "=SUM(Stock[At end as known now])"),
    "count sheet": ("=SUM(Counts[Counted])", None),
    "late sheet": ('=COUNTIF(Late[Accounted on],">="&First_day)', None),
    "counts": ("=SUM(Counts[Counted])", "=SUM(Counts[Recorded before])"),
    "counts left": ('=COUNTIF(Counts[Left],"<>0")', None),
    "moved": ("=SUM(Stock[Moved in])+SUM(Stock[Moved out])", None),
    "opening": ("=SUM(Stock[At start])", "=Opening_animals"),
    "opening cost": ("=SUM(Stock[Cost at start])", "=Opening_cost"),
    "rearing": ('=COUNTIF(Rearing[Unaccounted],"<>0")', None),
    "receipts": ("=SUM(Receipts[Cash])", None),
    "receipts income": (f'=SUMIFS(Income[Cash],Income[No],"<={lines.DEPOSITS}")', "=SUM(Receipts[Cash])"),
    "owed customers": (
        '=SUMIFS(Owed[At start],Owed[Kind],"sale")+SUM(Sales[Net])-SUMIFS(Receipts[Amount],Receipts[Paper],"sale")',
        '=SUMIFS(Owed[At end],Owed[Kind],"sale")',
    ),
    "deposits": (
        '=SUMIFS(Receipts[Amount],Receipts[Paper],"hold")-SUMIFS(Owed[At start],Owed[Kind],"hold")',
        '=-SUMIFS(Owed[At end],Owed[Kind],"hold")',
    ),
    "costs": ("=SUM(Costs[Cost])", None),
    "costs income": (
        '=-SUMIFS(Income[Accruals],Income[Part],"Costs")',
        "=SUM(Costs[Cost])-SUM(Costs[Refunded])",
    ),
    "gross": ('=SUMIFS(Costs[Gross],Costs[Date],">="&First_day)', None),
    "paid": ("=SUM(Costs[Paid])", None),
    "owed suppliers": ("=SUM(Costs[Owed at end])", '=-SUMIFS(Owed[At end],Owed[Kind],"cost")'),
    "equipment bought": (
        "=SUM(Equipment[Bought])",
        '=SUMIFS(Costs[Cost],Costs[Kind],"lasting")-SUMIFS(Costs[Refunded],Costs[Kind],"lasting")',
    ),
    "equipment": ("=SUM(Equipment[At end])", None),
    "cash": (f"=SUMIFS(Income[Cash],Income[No],{lines.RESULT})", None),
    "accruals": (_result(lines.RESULT), None),
    "went out": (
        f'=-SUMIFS(Income[Accruals],Income[No],">={lines.COST_SOLD}",Income[No],"<={lines.BROOD_ENDED}")',
        "=SUM(Movements[Cost])",
    ),
    "two ways": (_result(lines.RESULT), _result(lines.RESULT_AGAIN)),
    "bridge": (_result(lines.RESULT), _result(lines.BRIDGE_RESULT)),
    "dates": (f"={'+'.join(_outside())}", None),
}
"""Formulas of both sides by the key of the check; `None`: the ledger's own total, as a value."""

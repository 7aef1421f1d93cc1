"""A kitchen plan as a table of comma-separated values and as a workbook: the same rows, numbers as numbers."""

from __future__ import annotations

import io
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from webapp.advice.kitchen_plan import KitchenPlan
from webapp.pages.formatters import capital
from webapp.pages.plan_words import KINDS

CSV, XLSX = "text/csv; charset=utf-8", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
Cell = str | float | int
MOST_WIDTH = 44
# What begins a formula, in the full width of East Asian keyboards too, which some spreadsheets read alike.
BEGINS_FORMULA = ("=", "+", "-", "@", "\t", "＝", "＋", "－", "＠")


@dataclass(frozen=True, slots=True)
class Sheet:
    """One table: its name, its columns and its rows."""

    name: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


def sheets_of(plan: KitchenPlan) -> list[Sheet]:
    """List the tables of a plan; masses in grams, volumes in millilitres, lengths in centimetres."""
    currency = plan.options.currency
    money = f"price, {currency}"
    return [
        Sheet("Shopping", ("item", "used", "unit", "packs", "left", money, f"of it used, {currency}"), _shopping(plan)),
        Sheet("Batches", ("buttercream", "batch", "times", "stage", "ingredient", "grams", "stays, g"), _batches(plan)),
        Sheet("Amounts", ("place", "what", "role", "mL", "grams"), _amounts(plan)),
        Sheet("Balance", ("what", "grams"), _balance(plan)),
        Sheet("Stack", ("tier", "weighs, g", "carries, g", "board, at least, cm", "dowels", "dowel, cm"), _stack(plan)),
    ]


def _shopping(plan: KitchenPlan) -> tuple[tuple[Cell, ...], ...]:
    return tuple(
        (
            each.wanted.name,
            round(each.wanted.used, 1),
            "pieces" if each.wanted.in_pieces else "g",
            each.packs,
            round(each.left, 1),
            round(each.price, 2),
            round(each.used_price, 2),
        )
        for each in plan.shopping.purchases
    )


def _batches(plan: KitchenPlan) -> tuple[tuple[Cell, ...], ...]:
    return tuple(
        (
            making.formulation.name,
            number,
            batch.times,
            line.stage,
            line.ingredient.name,
            round(line.grams, 2),
            round(line.stays_g, 2),
        )
        for making in plan.makings
        for number, batch in enumerate(making.preparation.batches, start=1)
        for line in batch.lines
    )


def _amounts(plan: KitchenPlan) -> tuple[tuple[Cell, ...], ...]:
    return tuple(
        (capital(p.place), KINDS[p.kind], p.role, round(p.ml, 1), round(p.ml * plan.density_of(p.role), 1))
        for p in plan.portions
    )


def _balance(plan: KitchenPlan) -> tuple[tuple[Cell, ...], ...]:
    balance = plan.balance
    rows = (
        ("Weighed in", balance.weighed_g),
        ("Water boiled off", -balance.boiled_off_g),
        ("On the cake", -balance.on_cake_g),
        ("Left on bowl and beater", -balance.bowl_g),
        ("Left in bags", -balance.bag_g),
        ("Taken off in smoothing", -balance.trimming_g),
        ("Over", -balance.over_g),
    )
    return tuple((what, round(grams, 1) + 0.0) for what, grams in rows)  # nothing has no sign


def _stack(plan: KitchenPlan) -> tuple[tuple[Cell, ...], ...]:
    standings = plan.stack.standings if plan.stack else ()
    return tuple(
        (
            capital(each.tier.name),
            round(each.tier.whole_g),
            round(each.carries_g),
            math.ceil(each.board_width_cm - 0.01),
            each.dowels,
            round(each.dowel_cm, 1),
        )
        for each in standings
    )


def csv_of(plan: KitchenPlan) -> bytes:
    """Write every table below the other, each under its name, with a line between (RFC 4180)."""
    return "".join(f"{line}\r\n" for line in _lines(sheets_of(plan))).encode("utf-8-sig")


def _lines(sheets: Iterable[Sheet]) -> Iterator[str]:
    for place, sheet in enumerate(sheets):
        if place:
            yield ""
        yield _cell(sheet.name)
        yield ",".join(map(_cell, sheet.columns))
        yield from (",".join(map(_cell, row)) for row in sheet.rows)


def _cell(value: Cell) -> str:
    text = _harmless(value) if isinstance(value, str) else str(value)
    return f'"{text.replace(chr(34), chr(34) * 2)}"' if any(mark in text for mark in ',"\r\n') else text


def _harmless(text: str) -> str:
    """Keep a name that someone typed from being read as a formula."""
    return f"'{text}" if text.startswith(BEGINS_FORMULA) else text


def xlsx_of(plan: KitchenPlan) -> bytes:
    """Write a workbook with one sheet for each table."""
    from openpyxl import Workbook  # loads with the first download
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    book = Workbook()
    book.remove(book.worksheets[0])
    for sheet in sheets_of(plan):
        page = book.create_sheet(sheet.name)
        page.append(list(sheet.columns))
        for row in sheet.rows:
            page.append([_harmless(value) if isinstance(value, str) else value for value in row])
        for cell in page[1]:
            cell.font = Font(bold=True)
        for place, column in enumerate(sheet.columns, start=1):
            longest = max(len(str(value)) for value in (column, *(row[place - 1] for row in sheet.rows)))
            page.column_dimensions[get_column_letter(place)].width = min(longest + 2, MOST_WIDTH)
        page.freeze_panes = "A2"
    written = io.BytesIO()
    book.save(written)
    return written.getvalue()

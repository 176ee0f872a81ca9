"""Alternatives: other orders of a plan, numbered by their minutes, and why each was not chosen."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from foldsketch.base.findings import Finding, Quantity
from foldsketch.setup import messages
from foldsketch.setup.formulas.way_cost import EQUAL_SHARE
from foldsketch.setup.machine import HOLDING_METHODS, Machine
from foldsketch.setup.model import Alternative
from foldsketch.setup.plan.option import Option
from foldsketch.setup.plan.order import Order, OrderSearch, PlannedRun
from foldsketch.setup.plan.set_up_text import WAY_TEXT, short_label

MAX_OTHER_STATES = 60
"""States searched for another order."""

MIN_CUT_SHARE = 0.5
"""Share of the surfaces of the best order that another one must cut to be worth a number [C]."""

BORED = "bored_jaws"


def numbered_orders(search: OrderSearch, machine: Machine, best: Order | None, batch: int) -> tuple[Order, ...]:
    """The best order and the others, by minutes: plan 1, plan 2 and so on; () where nothing can be cut.

    The others are the main spindle alone, orders without each way that the best one uses off centre, and without driven
    tools; and where bored jaws are allowed but in none of these, one that holds off centre in nothing else.
    """
    if best is None:
        return ()
    found = {order_steps(best): best}

    def search_one(allowed: Callable[[PlannedRun], bool]) -> None:
        other = search.best(batch, allowed, MAX_OTHER_STATES)
        if other is not None:
            found.setdefault(order_steps(other), other)

    if any(len(r.options) > 1 for r in best.runs):
        search_one(lambda r: len(r.options) == 1)
    elif len(machine.spindles) > 1:
        search_one(lambda r: len(r.options) > 1 or r.options[0].before != frozenset())
    for way in dict.fromkeys(o.holding.way for o in _options(best) if o.place.offset):
        search_one(lambda r, way=way: all(o.holding.way != way for o in r.options))  # type: ignore[misc]
    if any(c.target.how == "driven" for o in _options(best) for c in o.cuts):
        search_one(lambda r: all(c.target.how != "driven" for o in r.options for c in o.cuts))
    uses_bored = any(BORED in order_ways(o) for o in found.values())
    if HOLDING_METHODS[BORED] in dict(machine.max_offsets) and not uses_bored:
        bored = search.best(batch, _only_bored_off_centre, MAX_OTHER_STATES)
        if bored is not None and BORED in order_ways(bored):
            found.setdefault(order_steps(bored), bored)
    asked = len(search.finder.needed)
    least = MIN_CUT_SHARE * (asked - len(best.left))
    kept = (o for o in found.values() if o is not best and asked - len(o.left) >= least)
    others = sorted(kept, key=lambda o: o.cost)
    return (best, *others)


def _only_bored_off_centre(r: PlannedRun) -> bool:
    """Whether a run holds off centre in bored jaws only, and turns what it cuts or drills it."""
    bored = all(o.holding.way == BORED for o in r.options if o.place.offset)
    return bored and all(c.target.how in ("turned", "drilled") for o in r.options for c in o.cuts)


def alternatives_to(orders: Sequence[Order], number: int) -> tuple[Alternative, ...]:
    """All orders but the number-th, counted from 1."""
    chosen = orders[number - 1] if orders else None
    return tuple(
        Alternative(k, order_steps(o), order_ways(o), o.cost, _why_not_chosen(o, chosen), order_label(o), o.minutes)
        for k, o in enumerate(orders, 1)
        if chosen is not None and o is not chosen
    )


def order_steps(order: Order) -> tuple[str, ...]:
    """An order in words, a line a clamping."""
    return tuple(option_text(o) for o in _options(order))


def order_ways(order: Order) -> tuple[str, ...]:
    """The way of every clamping, as keys of [way]."""
    return tuple(o.holding.way for o in _options(order))


def order_label(order: Order) -> str:
    """How an order holds the work, in short."""
    options = _options(order)
    held = [(o.holding.way, o.place.offset > 0, o.weighted) for o in options]
    driven = any(c.target.how == "driven" for o in options for c in o.cuts)
    return short_label(held, driven, any(len(r.options) > 1 for r in order.runs))


def _options(order: Order) -> list[Option]:
    return [o for r in order.runs for o in r.options]


def option_text(o: Option) -> str:
    """A clamping in one line."""
    p = o.place
    return f"{p.spindle.name}, {p.held.name} ({WAY_TEXT[o.holding.way]}), axis {p.line} from {p.from_end}"


def _why_not_chosen(other: Order, chosen: Order) -> Finding:
    if len(other.left) > len(chosen.left):
        return messages.ORDER_LEAVES_FEATURES.at(features=", ".join(n for n in other.left if n not in chosen.left))
    low, high = sorted((other.cost, chosen.cost))
    if high <= low * (1 + EQUAL_SHARE):
        return messages.ORDER_EQUALLY_GOOD.at()
    why = messages.ORDER_COSTS_MORE if other.cost > chosen.cost else messages.ORDER_COSTS_LESS
    return why.at(minutes=Quantity(other.cost, "min", 1))

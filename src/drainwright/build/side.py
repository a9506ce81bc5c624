"""The building side of a job, put together: digging, takeoff, days and price."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from drainwright.build.backfill import beside_unopened
from drainwright.build.bodies import Body, inlet_bodies
from drainwright.build.book import Book, book_for
from drainwright.build.booked import with_booked, without_pieces
from drainwright.build.coating import CoatedWall, coated_walls
from drainwright.build.crew_days import planned
from drainwright.build.crossings import crossings, unlocated
from drainwright.build.days_doubt import days_doubt
from drainwright.build.doubts import with_doubts
from drainwright.build.earth import SOILS, UNFIT, barrow_load, dug, in_rock, loads, loose_density, loose_volume
from drainwright.build.earth_chain import earth_chain
from drainwright.build.exposure import in_order
from drainwright.build.extras import unit_prices
from drainwright.build.filling import filling
from drainwright.build.guarded import GuardedPlace, guarded_places, ladder_places, wet_places
from drainwright.build.handling import HandShares, Kit, Rates, dig_hours, hand_shares
from drainwright.build.hire import guard_lines, shield_hire, with_sets
from drainwright.build.hire_moving import with_moving
from drainwright.build.hire_order import Tried, Worth, best_order, nights_open
from drainwright.build.hire_terms import HireTerms, hire_terms
from drainwright.build.labour import works
from drainwright.build.ladders import ladders_at_once, with_ladders, with_ways_out
from drainwright.build.machine import (
    breaker_hire,
    kept_by_hand,
    kit_of,
    machine_digs,
    machine_hire,
    own_machines,
    ways_to_dig,
)
from drainwright.build.model import Build, Crossing, DigPlan, ShieldHire, Takeoff, TakeoffLine, Tool, Trench
from drainwright.build.paid import paid_days
from drainwright.build.panels import bared_lengths, wall_panel
from drainwright.build.parts import at_the_walls, parts, with_works
from drainwright.build.paving import paved
from drainwright.build.paving_work import paving_hire
from drainwright.build.payments import payments
from drainwright.build.price import cents, price
from drainwright.build.pumping import Pumping, as_one_task, pump_line, pumped
from drainwright.build.reach import set_by_hand
from drainwright.build.rock_days import rock_days
from drainwright.build.room import spared
from drainwright.build.roots import root_cuts, root_losses
from drainwright.build.schedule import Placed, Work, arrange, days_open, horizon
from drainwright.build.shaping import shaped_earth
from drainwright.build.shield_slack import within_hire
from drainwright.build.sides import safe_sides
from drainwright.build.spoil import with_heaps
from drainwright.build.spouts import over_digs
from drainwright.build.stone import DENSITY, Bed, beds, stone_key, to_buy
from drainwright.build.takeoff import Counted, count, take_off
from drainwright.build.tools import tool_lines
from drainwright.build.trench import Cut, cuts, laid_in, trench
from drainwright.build.visits import visits
from drainwright.build.wedge import wedges
from drainwright.build.working_days import working_days
from drainwright.field.model import Site
from drainwright.job.values import Basis
from drainwright.quantities import Kind, write
from drainwright.system.model import System
from drainwright.worksheet import place, quiet

SLIVER = 1e-3  # less soil than this is no digging of its own: it comes with the dig beside it [m³]


@dataclass(frozen=True, slots=True, kw_only=True)
class Amounts:
    """All that is dug, laid, coated and bought: what no rate of the price book changes."""

    site: Site
    system: System
    dig: DigPlan
    beds: tuple[Bed, ...]
    coats: tuple[CoatedWall, ...]
    counted: Counted
    takeoff: Takeoff
    shares: Mapping[str, HandShares]
    guarded: tuple[GuardedPlace, ...]  # where nobody goes in without protection
    laddered: tuple[GuardedPlace, ...]  # where nobody goes in without a ladder
    wet: tuple[GuardedPlace, ...]  # where ground water stands over the bottom

    def works(self, book: Book, kit: Kit) -> tuple[Work, ...]:
        """The work at the rates of a book, with these machines."""
        done = works(
            self.site, self.system, self.dig, self.beds, self.coats, self.counted, self.takeoff, book, self.shares, kit
        )
        return with_moving(done, self.guarded, Rates(book, self.site.job.units))


def measured(site: Site, system: System) -> Amounts:
    """The amounts of a job; prices of its book choose the sticks, rates change nothing."""
    book = book_for(site.job.price_book)
    digs = cuts(site, system)
    placed = beds(site, system, digs)
    dig = dig_plan(
        site, digs, placed, inlet_bodies(site, system), beside=beside_unopened(system.runs, {cut.name for cut in digs}),
        stone_waste=book.waste_of(stone_key(site.job.works.stone.name), "stone"),
    )  # fmt: skip
    coats = tuple(coated_walls(site))
    dig = with_ways_out(dig, site, system)
    dig = with_works(dig, parts(system, dig, placed, coats, bool(bared_lengths(site, system, dig.wall_panel))))
    counted = count(site, system, book, dig.wall_panel)
    return Amounts(
        site=site, system=system, dig=dig, beds=placed, coats=coats, counted=counted,
        takeoff=take_off(site, system, dig, placed, coats, counted, book), shares=hand_shares(dig, site, system),
        guarded=guarded_places(site, system, digs, dig), laddered=ladder_places(site, system, digs, dig),
        wet=wet_places(site, system, digs, dig),
    )  # fmt: skip


def build_side(site: Site, system: System) -> Build:
    """How the job is built: digging and what is in its way, what to buy, the days, the price.

    Parameters
    ----------
    site : Site
        The site; its job carries crew, equipment, rules and the firm's prices.
    system : System
        The designed system.

    Returns
    -------
    Build
        The same for the same site and system, to the last digit.

    Raises
    ------
    JobError
        If the job's price book has unknown keys or values out of range.
    """
    job = site.job
    book = book_for(job.price_book)
    amounts = measured(site, system)
    dig, takeoff, shares = amounts.dig, amounts.takeoff, amounts.shares
    rates = Rates(book, job.units)

    kit = kit_of(job.equipment)
    calendar, day_length = working_days(job.crew), job.crew.hours_per_day
    pits = [item for item in dig.trenches if item.kind == "basin"]
    pit_hours = math.fsum(dig_hours(item, shares[item.name], site, rates, kit).all for item in pits)

    hand_set = set_by_hand(site.job, [item.trench for item in amounts.guarded])
    dug = machine_digs(dig, shares)

    def arranged(done: Sequence[Work]) -> tuple[Placed, ...]:
        return arrange(done, job.crew.size, day_length, calendar)

    def terms(placed: Sequence[Placed]) -> HireTerms:
        return hire_terms(calendar.offsets(horizon([item.work for item in placed], day_length)), rates)

    def booked(works: Sequence[Work]) -> tuple[Work, ...]:
        return with_booked(works, job.crew.visits, dig, calendar)

    with quiet():
        base = booked(amounts.works(book, kit))

    def shielded(placed: Sequence[Placed]) -> ShieldHire | None:
        return shield_hire(amounts.guarded, placed, day_length, pit_hours, rates, calendar)

    def guards(shields: ShieldHire | None) -> tuple[TakeoffLine, ...]:
        owned = "shields" in job.equipment.owned
        return () if shields is None else guard_lines(shields, owned=owned, by_hand=hand_set)

    def hired(placed: Sequence[Placed], pump: Pumping | None, tools: Sequence[Tool]) -> tuple[TakeoffLine, ...]:
        """Machines, tools and the trench pump that the firm does not own; the tools for as long as the plan takes."""
        charged = terms(placed)
        lasts = days_open(placed, day_length, (), ())
        lacks_pump = any(tool.key == "trench pump" and tool.source != "own" for tool in tools)
        return (
            *machine_hire(placed, day_length, job.equipment, dug, charged),
            *breaker_hire(dig, site, placed, day_length, charged),
            *paving_hire(dig, site, placed, day_length, charged),
            *tool_lines(tools, charged.charged(1, lasts)),
            *((pump_line(pump, charged),) if pump is not None and lacks_pump else ()),
        )

    def kept_dry(works: Sequence[Work]) -> Pumping | None:
        return pumped(
            works, amounts.wet, arranged, people=job.crew.size, day_length=day_length, calendar=calendar,
            pit_hours=pit_hours, rates=rates,
        )  # fmt: skip

    def with_ranks(works: Sequence[Work], ranks: Mapping[str, int]) -> tuple[Work, ...]:
        return tuple(replace(work, rank=ranks.get(work.key, work.rank)) for work in works)

    hour = cents(book.wage * (1 + book.burden))
    offsets = calendar.offsets(2 * horizon(base, day_length))  # a trench pump's hours come on top

    def tried(works: Sequence[Work]) -> Tried:
        """The plan of an order, with the trench pump in it, by what it is worth."""
        pump = kept_dry(works)
        placed = arranged(works) if pump is None else pump.placed
        own = [one for one in placed if not one.work.aside]
        shields = shielded(own)
        lines = hired(placed, pump, takeoff.tools)
        lines = (*lines, *guards(shields))
        hire = sum((Decimal(str(line.quantity)) * book.item(line.key).price for line in lines), Decimal(0))
        paid = paid_days((spell for item in placed for spell in item.spells), day_length, book)
        hours = math.fsum(day.worked + day.travel + day.unworked for day in paid)
        worth = Worth(
            nights=nights_open(own, day_length, offsets),
            cost=cents(hire + Decimal(repr(round(hours, 4))) * hour),
            hours=0.0 if shields is None else shields.hours,
        )
        return Tried(days=days_open(placed, day_length, (), ()), worth=worth)

    with quiet():
        ranks = best_order(base, tried, at_the_walls(base))

    def make(kit: Kit) -> tuple[Work, ...]:
        return with_ranks(booked(with_doubts(amounts.works(book, kit), site, dig, shares, book)), ranks)

    def plan_of(kit: Kit) -> tuple[Placed, ...]:
        with quiet():  # a way to dig that is compared is no step of this design
            works = make(kit)
        found = kept_dry(works)
        return arranged(works) if found is None else found.placed

    done = make(kit)
    pump = kept_dry(done)
    placed_works = arranged(done) if pump is None else pump.placed
    done = done if pump is None else pump.spread
    paid = paid_days((spell for item in placed_works for spell in item.spells), day_length, book)
    careful, by_hand = kept_by_hand(dig, shares)
    plan = replace(
        planned(placed_works, job.crew.size, day_length, calendar),
        earth=earth_chain(site, dig, amounts.beds, shares, rates, kit),
        ways=ways_to_dig(site, dig, shares, plan_of, book, terms),
        careful_share=careful,
        hand_share=by_hand,
        doubt=days_doubt(
            done, job.crew, book, math.fsum(day.travel + day.unworked for day in paid) / max(1, len(paid))
        ),
        paid=paid,
    )
    plan = without_pieces(plan)
    if pump is not None:
        plan = as_one_task(plan, pump)
    plan = replace(plan, visits=visits(site, system, dig.trenches, plan))
    ladders = ladders_at_once(amounts.laddered, placed_works, day_length, pit_hours)
    takeoff = replace(takeoff, tools=with_ladders(takeoff.tools, ladders))
    owned = own_machines(placed_works, day_length, job.equipment, dug)
    takeoff = replace(takeoff, tools=(*takeoff.tools, *owned))
    with place("equipment", "hire"):
        takeoff = replace(takeoff, lines=(*takeoff.lines, *hired(placed_works, pump, takeoff.tools)))
    shields = shielded(placed_works)
    takeoff = replace(takeoff, tools=with_sets(takeoff.tools, shields))
    if hires := guards(shields):
        takeoff = replace(takeoff, lines=(*takeoff.lines, *hires))
        plan = within_hire(plan, amounts.guarded, placed_works, pit_hours)
    with place("offer", "unit prices"):
        units = unit_prices(site, book)
    rock = rock_days(done, units, job.crew, book)
    plan = replace(plan, rock=None if rock is None else replace(rock, days=max(rock.days, plan.days)))
    offer = job.offer
    priced = price(takeoff, plan, book, job.rules, allowed=units, minimum=offer.minimum_charge)
    return Build(
        dig=dig, takeoff=takeoff, plan=plan, price=priced, unit_prices=units,
        payments=payments(priced, plan, takeoff, job.rules, offer.stages), shields=shields,
    )  # fmt: skip


def dig_plan(
    site: Site,
    digs: Sequence[Cut],
    placed: Sequence[Bed],
    bodies: Sequence[Body] = (),
    *,
    beside: Collection[str] = (),
    stone_waste: float = 0.0,
) -> DigPlan:
    """All digging, what is in its way, and where the soil goes.

    Parameters
    ----------
    site : Site
        The site.
    digs : Sequence of Cut
        From ``trench.cuts``.
    placed : Sequence of Bed
        What stone, pipe and basin take of the room.
    bodies : Sequence of Body
        Inlets, which buried lines may be in the way of.
    beside : collection of str
        Runs that lie beside walls.
    stone_waste : float
        That the book adds to stone: it is wheeled too. [-]

    Returns
    -------
    DigPlan
        Spoil to haul is what the works displace, what shaped ground is cut down by, and what a bought cap takes the
        place of, less what becomes fill of shaped ground: what cannot go back leaves first.
    """
    job = site.job
    soil = dug(job.ground)
    each = tuple(item for item in (trench(cut, site) for cut in digs) if item.bank_volume > SLIVER)
    over = paved([cut for cut in digs if cut.name in {item.name for item in each}], site)
    slabs = {item.name: math.fsum(one.slab for one in over if one.dig == item.name) for item in each}
    each = tuple(replace(item, bank_volume=max(0.0, item.bank_volume - slabs[item.name])) for item in each)
    trenches = with_heaps(safe_sides(digs, each, site), digs, site)
    bank = math.fsum(item.bank_volume for item in trenches)
    displaced = min(bank, math.fsum((*(bed.displaced for bed in placed), *(one.base for one in over))))
    filled = filling(site, digs, bank, displaced, beside)
    shaped = shaped_earth(site, digs, max(0.0, (bank - filled.topsoil) * (1 - UNFIT) - filled.native))
    cut_down, reused = (0.0, 0.0) if shaped is None else (shaped.cut, shaped.reused)
    weight = job.ground.unit_weight
    density = soil.moist if weight is None else weight.value
    with place("equipment", "spoil"):
        loose = loose_volume(bank + cut_down, soil.swell)
        lighter = loose_density(density, soil.swell)
        back = loose_volume(filled.back, soil.swell)
        haul = max(loose - back - loose_volume(reused, soil.swell), 0.0)
        mass = haul * lighter
        kit = job.equipment
        by_volume = loads(haul, kit.trailer_volume)
        by_mass = loads(mass, kit.trailer_payload)
        stone = math.fsum(bed.stone for bed in placed)
        out = loads(haul, barrow_load(kit.barrow, lighter))
        back_in = loads(to_buy(stone, stone_waste), barrow_load(kit.barrow, DENSITY))
        clay = loose_density(SOILS["clay"].moist, SOILS["clay"].swell)
        bought_in = loads(filled.brought, barrow_load(kit.barrow, clay))
    trailer = kit.trailer_volume * lighter
    met = in_order(crossings(digs, site, bodies))
    return DigPlan(
        trenches=trenches,
        laid_in=laid_in(digs, {item.name for item in trenches}),
        crossings=met,
        wedges=wedges(digs, site),
        roots=root_cuts(digs, site),
        unlocated=unlocated(job),
        bank_volume=bank,
        loose_volume=loose,
        backfill_volume=back,
        haul_volume=haul,
        haul_mass=mass,
        swell=soil.swell,
        barrow_rounds=out + back_in + bought_in,
        soil_rounds=bought_in,
        filling=filled,
        trailer_loads=max(by_volume, by_mass),
        trailer_loads_by_volume=by_volume,
        trailer_loads_by_mass=by_mass,
        load_mass=min(mass, trailer if kit.trailer_full else min(trailer, kit.trailer_payload)),
        wall_panel=wall_panel(digs, site),
        tree_roots=root_losses(digs, site),
        spared=spared(digs, site),
        paved=over,
        spouts=over_digs(site, digs),
        shaped=shaped,
        notes=tuple(_notes(site, trenches, met, placed, (out, back_in, bought_in))),
    )


def _notes(
    site: Site,
    trenches: Sequence[Trench],
    met: Sequence[Crossing],
    placed: Sequence[Bed],
    rounds: tuple[int, int, int],
) -> list[str]:
    job = site.job
    earth = "broken rock" if in_rock(job.ground) else job.ground.texture.value
    out, stone, bought = rounds
    notes = [
        f"Barrow rounds: {out} of spoil out, {stone} of stone in"
        + (f", {bought} of bought soil in." if bought else "."),
        "Volumes are for upright sides. Where a side is sloped back, or caves, there is more.",
        f"Swell for {earth} from a general table: 10 points more or less are usual.",
    ]
    if job.ground.unit_weight is None:
        notes.append("The soil's weight is assumed from its texture: weigh one load, wet soil is heavier.")
    if any(trench.kind == "wall" for trench in trenches):
        notes.append("An opened wall is dug to the top of its footing, and lower only where the drain's trench is.")
    for bed in placed:
        if bed.fill > 0:
            length, height = (write(value, Kind.LENGTH, job.units) for value in (bed.fill_length, bed.fill_height))
            much = write(bed.fill, Kind.VOLUME, job.units)
            notes.append(
                f"{bed.run}: over {length} its bed lies above the top of the footing, where the wall's dig ends, by "
                f"{height} at most; the gap is filled with the same clean stone, tamped"
                + ("." if much == write(0.0, Kind.VOLUME, job.units) else f", {much} of it.")
            )
    by_name = {item.utility.name: item.utility for item in site.utilities}
    for name in dict.fromkeys(item.utility for item in met):
        utility = by_name[name]
        if utility.depth is None:
            notes.append(
                f"{name}: depth unknown, located by {utility.located_by}; it counts as anywhere from the surface to "
                "below the dig, and no grade keeps clear of it."
            )
        elif utility.depth.basis is not Basis.MEASURED or utility.located_by in ("owner says", "nobody"):
            off = write(utility.doubt, Kind.LENGTH, job.units, "in" if job.units == "US" else "mm")
            usual = "" if utility.depth_uncertainty is not None else " (assumed by how it is known: common practice)"
            notes.append(
                f"{name}: depth {utility.depth.basis.value}, located by {utility.located_by}; clearances to it may be "
                f"{off} less{usual}."
            )
    deep = [item.name for item in trenches if item.protection == "house-foundation letters"]
    if deep:
        notes.append(
            f"{', '.join(deep)}: OSHA's 1995 letters on house foundations also ask: no water, cracks or other sign of "
            "weakness; no heavy equipment shaking the sides; spoil no closer than the depth; as few people as can do "
            "it, for as short as can be; a competent person there. Where one fails, slope or shield. A state plan may "
            "differ: ask."
        )
    return notes


__all__ = ["Amounts", "build_side", "dig_plan", "measured"]

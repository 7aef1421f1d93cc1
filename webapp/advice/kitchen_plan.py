"""The use case from a brief and a pairing to a kitchen plan: amounts, batches, eggs, hot steps, shopping, stack."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from webapp.advice.brief import Brief
from webapp.advice.heat import size_name, tier_sizes
from webapp.advice.plan_options import PlanOptions, read_options
from webapp.advice.substitutes import against_diet
from webapp.catalogue.model import Catalogue, Fact, Formulation, Rule
from webapp.errors import BriefError, FieldProblem
from webapp.kitchen.amounts import Kind, Layout, Losses, Need, Portion, Role, Rosette, need_of, portions_of
from webapp.kitchen.batches import (
    Batch,
    EggPart,
    Preparation,
    WeighedLine,
    bowl_takes_g,
    is_syrup_water,
    prepare,
    unit_of,
    weighed_in,
)
from webapp.kitchen.egg_count import EggCount, count_eggs
from webapp.kitchen.geometry import TierSize, depth_across
from webapp.kitchen.heat_steps import HeatStep, heat_steps
from webapp.kitchen.servings import Servings, servings_of
from webapp.kitchen.shopping import EGGS, Pack, Purchase, ShoppingList, Wanted, buy
from webapp.kitchen.stacking import Stack, Standing, Supports, TierMass, border_mm, stack_of

# Pages know the kitchen through this module alone.
__all__ = [
    "EGGS",
    "Batch",
    "HeatStep",
    "Kind",
    "KitchenPlan",
    "Making",
    "OtherCost",
    "Pack",
    "PlanOptions",
    "Portion",
    "Purchase",
    "Standing",
    "WeighedLine",
    "is_syrup_water",
    "plan_kitchen",
    "read_options",
    "rings_filling",
    "usual_packs",
]

DOZEN = 12
WHITE, YOLK, WATER = "egg-white", "egg-yolk", "water"
OTHERS_COMPARED = 2
FIRST_DAY, LAST_DAY = dt.date(1900, 1, 1), dt.date(2999, 12, 31)  # well within every calendar and time zone


@dataclass(frozen=True, slots=True)
class Making:
    """One buttercream of the plan: where it goes, how much, in which batches, what of it is over and how that keeps.

    ``steps`` holds the hot steps of each batch. Facts carry their range: density [g/mL], days and months of keeping.
    """

    formulation: Formulation
    roles: tuple[Role, ...]
    need: Need
    preparation: Preparation
    steps: tuple[tuple[HeatStep, ...], ...]
    density: Fact
    refrigerated_days: Fact
    frozen_months: Fact

    @property
    def over_g(self) -> float:
        """What is made beyond all need [g]."""
        return self.preparation.makes_g - self.need.whole_g

    @property
    def yield_ml(self) -> tuple[float, float, float]:
        """What all batches fill, low, likely and high [mL], by the range of the density."""
        grams, density = self.preparation.makes_g, self.density
        return grams / density.high, grams / density.value, grams / density.low

    @property
    def batches(self) -> Iterator[tuple[Batch, tuple[HeatStep, ...]]]:
        """Each batch with its hot steps."""
        return zip(self.preparation.batches, self.steps, strict=True)


@dataclass(frozen=True, slots=True)
class Balance:
    """Where all that is weighed in goes [g]; what is over is what batches give beyond every need."""

    weighed_g: float
    boiled_off_g: float
    on_cake_g: float
    bowl_g: float
    bag_g: float
    trimming_g: float
    over_g: float


@dataclass(frozen=True, slots=True)
class OtherCost:
    """What another pairing of the advice would cost, and by how much more (less where negative).

    ``assumed_price`` is what of it is for things that nobody gave a price of their own.
    """

    coat: Formulation
    filling: Formulation
    used_price: float
    difference: float
    assumed_price: float


@dataclass(frozen=True, slots=True)
class KitchenPlan:
    """Everything to make one order's coat and filling. The sponge is the baker's own and is not planned."""

    brief: Brief
    options: PlanOptions
    coat: Formulation
    filling: Formulation
    needs_dam: bool
    layout: Layout
    losses: Losses
    portions: tuple[Portion, ...]
    makings: tuple[Making, ...]
    eggs: EggCount | None
    egg_keeping: tuple[Fact, Fact, Fact, Fact]  # days of white and yolk, then their months frozen
    bowl_l: float
    fill_share: float
    servings: Servings
    slice_ml: Fact
    balance: Balance
    shopping: ShoppingList
    others: tuple[OtherCost, ...]
    price_share: Fact  # what shops ask, over the prices assumed
    stack: Stack | None
    rosette_mm: Fact
    swirl_share: Fact
    step_minutes: dict[str, Fact]
    cautions: tuple[Rule, ...]

    @property
    def slice_price(self) -> float:
        """What is used, for each portion, where the fewest are cut: it costs no more."""
        return self.shopping.used_price / self.servings.whole[0]

    @property
    def mending_g(self) -> float:
        """Coat in the bag that goes along [g]; nothing where no tier is stacked on another."""
        return math.fsum(p.ml for p in self.portions if p.kind == "mending") * self.density_of("coat")

    def density_of(self, role: Role) -> float:
        """Density of what a role is made of [g/mL]."""
        return next((making.density.value for making in self.makings if role in making.roles), 0.0)


def plan_kitchen(
    brief: Brief,
    pairing: tuple[str, str],
    catalogue: Catalogue,
    options: PlanOptions,
    *,
    needs_dam: bool = False,
    others: Sequence[tuple[str, str]] = (),
) -> KitchenPlan:
    """Plan an order.

    Parameters
    ----------
    pairing
        The advised coat and filling by the ids of their formulations; the options may name others.
    needs_dam
        Whether the filling is ringed with the coat.
    others
        Further pairings of the advice, best first; the first two that differ from the plan's are compared by cost.

    Raises
    ------
    BriefError
        If the options name a formulation or an ingredient that there is not, or a formulation that the brief's diet
        bars; if the fillings are thicker than a tier; if no work can be planned for the day.
    """
    _refuse_unknown(options, catalogue)
    _refuse_what_cannot_be_made(brief, options, catalogue)
    coat, filling = (catalogue.formulations[id_] for id_ in _chosen(pairing, options))
    plan = _Planner(brief, catalogue, options, needs_dam)
    return plan.of(coat, filling, _distinct(others, (coat.id, filling.id)))


def usual_packs(catalogue: Catalogue) -> dict[str, Pack]:
    """Return how everything is usually sold: eggs by the dozen, all else by the gram."""
    bought = {id_: item for id_, item in catalogue.ingredients.items() if id_ not in (WHITE, YOLK, WATER)}
    eggs = {EGGS: Pack(DOZEN, catalogue.ingredients[WHITE].pack_price)}
    return eggs | {id_: Pack(item.pack_g, item.pack_price) for id_, item in bought.items()}


def rings_filling(coat: Formulation, filling: Formulation, brief: Brief, catalogue: Catalogue) -> bool:
    """Whether a filling is ringed with the coat: it is softer than its load asks, and the coat is firmer.

    For pairings that the advice does not judge; without supports the load is taken as that of a tier above.
    """
    firmness = [catalogue.formulation_fact(each, "firmness").value for each in (coat, filling)]
    is_loaded = len(brief.tiers) > 1 and not brief.supported
    needed = catalogue.fact("load:1-kpa" if is_loaded else "load:0-kpa", "needs_firmness").value
    return firmness[1] < min(needed, firmness[0])


def _chosen(pairing: tuple[str, str], options: PlanOptions) -> tuple[str, str]:
    return options.coat or pairing[0], options.filling or pairing[1]


def _distinct(others: Iterable[tuple[str, str]], own: tuple[str, str]) -> list[tuple[str, str]]:
    return [pair for pair in dict.fromkeys(others) if pair != own][:OTHERS_COMPARED]


def _refuse_unknown(options: PlanOptions, catalogue: Catalogue) -> None:
    named = {"coat": options.coat, "filling": options.filling}
    problems = [
        FieldProblem(field, "there is no such formulation", ", ".join(catalogue.formulations))
        for field, id_ in named.items()
        if id_ is not None and id_ not in catalogue.formulations
    ]
    sold = usual_packs(catalogue)
    problems += [
        FieldProblem("price", f"nothing called {id_!r} is bought", ", ".join(sorted(sold)))
        for id_ in options.packs
        if id_ not in sold
    ]
    if problems:
        raise BriefError(tuple(problems))


def _refuse_what_cannot_be_made(brief: Brief, options: PlanOptions, catalogue: Catalogue) -> None:
    problems = [*_barred_by_diet(brief, options, catalogue), *_too_thick(brief, options, catalogue)]
    if brief.date is not None and not FIRST_DAY <= brief.date <= LAST_DAY:
        days = f"a day from {FIRST_DAY} to {LAST_DAY}"
        problems.append(FieldProblem("date", f"no work can be planned for {brief.date.isoformat()}", days))
    if problems:
        raise BriefError(tuple(problems))


def _barred_by_diet(brief: Brief, options: PlanOptions, catalogue: Catalogue) -> Iterator[FieldProblem]:
    """Yield a problem for each formulation that is asked for against the brief's own diet."""
    for field, id_ in (("coat", options.coat), ("filling", options.filling)):
        if id_ is None or not (told := against_diet(catalogue.formulations[id_], brief, catalogue)):
            continue
        free = [each.id for each in catalogue.formulations.values() if not against_diet(each, brief, catalogue)]
        problem = f"{catalogue.formulations[id_].name}: {' '.join(told).rstrip('.')}"
        yield FieldProblem(field, problem, ", ".join(free) or "none; change the diet of the brief")


def _too_thick(brief: Brief, options: PlanOptions, catalogue: Catalogue) -> Iterator[FieldProblem]:
    """Yield a problem where the fillings leave less of a tier than one of its layers' even share."""
    thick = options.filling_mm or catalogue.fact("cake", "filling_mm").value
    filled = [(10 * tier.height_cm / tier.layers, tier.layers) for tier in brief.tiers if tier.layers > 1]
    most, layers = min(filled, default=(thick, 1))
    if thick > most:
        problem = f"{layers - 1} fillings of {thick:g} mm leave no room for {layers} layers in so low a tier"
        fits = f"at most {math.floor(10 * most) / 10:g} mm, or fewer layers, or a higher tier"
        yield FieldProblem("filling_mm", problem, fits)


@dataclass(frozen=True, slots=True)
class _Planner:
    """The facts of one order that do not depend on the pairing."""

    brief: Brief
    catalogue: Catalogue
    options: PlanOptions
    needs_dam: bool

    def of(self, coat: Formulation, filling: Formulation, others: list[tuple[str, str]]) -> KitchenPlan:
        layout = self.layout()
        portions = portions_of(self.tiers, layout)
        makings = self.makings(coat, filling, portions)
        eggs = self.eggs(makings)
        shopping = self.shopping(makings, eggs)
        brief, options = self.brief, self.options
        slice_ml = self.fact(f"slice:{options.slice}", "volume")
        servings = servings_of([size for _, size in self.tiers], brief.cupcakes, (slice_ml.low, slice_ml.high))
        stack = self.stack(portions, makings)
        return KitchenPlan(
            brief=brief,
            options=options,
            coat=coat,
            filling=filling,
            needs_dam=self.needs_dam,
            layout=layout,
            losses=self.losses,
            portions=portions,
            makings=makings,
            eggs=eggs,
            egg_keeping=self.egg_keeping(),
            bowl_l=self.bowl_l,
            fill_share=self.number("mixer", "fill_share"),
            servings=servings,
            slice_ml=slice_ml,
            balance=balance_of(makings),
            shopping=shopping,
            others=tuple(self.others(others, portions, shopping)),
            price_share=self.fact("shop", "price_share"),
            stack=stack,
            rosette_mm=self.fact("rosette", "height_mm"),
            swirl_share=self.fact("swirl-shape", "of_cylinder"),
            step_minutes={kind: self.fact(f"heat-step:{kind}", "minutes") for kind in ("syrup", "water-bath", "cool")},
            cautions=self.cautions(makings, stack),
        )

    def fact(self, subject: str, name: str) -> Fact:
        return self.catalogue.fact(subject, name)

    def number(self, subject: str, name: str) -> float:
        return self.fact(subject, name).value

    @property
    def bowl_l(self) -> float:
        return self.options.bowl_l or self.number("mixer", "bowl_l")

    @property
    def tiers(self) -> list[tuple[str, TierSize]]:
        """The tiers with their names, bottom first, without cupcakes."""
        sizes = tier_sizes(self.brief, self.catalogue)[: len(self.brief.tiers)]
        return [(size_name(self.brief, place), size) for place, size in enumerate(sizes)]

    @property
    def losses(self) -> Losses:
        usual = Losses(*(self.number("loss", name) / 100 for name in ("bowl", "bag", "trimming")))
        asked = self.options.allowance_pct
        return usual if asked is None else usual.scaled_to(asked / 100)

    def layout(self) -> Layout:
        brief, options = self.brief, self.options
        edge = f"edge:{brief.piping}"
        has_edges = brief.piping != "none"
        # Cupcakes beside a cake are only topped; alone they are filled too, as the advice has it.
        is_filled = bool(brief.cupcakes) and not brief.tiers
        return Layout(
            coat_mm=brief.coat_mm,
            crumb_mm=options.crumb_mm or self.number("cake", "crumb_coat_mm"),
            filling_mm=options.filling_mm or self.number("cake", "filling_mm"),
            dam_mm=self.number("cake", "dam_mm") if self.needs_dam else 0.0,
            top_edge_ml_m=self.number(edge, "top_ml_m") if has_edges else 0.0,
            foot_edge_ml_m=self.number(edge, "foot_ml_m") if has_edges else 0.0,
            rosette=self.rosette() if brief.piping == "rosettes" and options.rosettes == "side" else None,
            cupcakes=brief.cupcakes,
            cupcake=tier_sizes(brief, self.catalogue)[-1] if brief.cupcakes else None,
            swirl_mm=self.number(f"swirl:{options.swirl}", "height_mm"),
            swirl_share=self.number("swirl-shape", "of_cylinder"),
            core_ml=self.number("cupcake", "core_ml") if is_filled else 0.0,
            # Assumed: as much as the feet of the stacked tiers take, or would take where nothing is piped.
            mending_ml_m=self.number(edge if has_edges else "edge:borders", "foot_ml_m"),
        )

    def rosette(self) -> Rosette:
        return Rosette(*(self.number("rosette", name) for name in ("width_mm", "height_mm", "spacing_mm")))

    def egg_g(self, part: EggPart) -> float:
        """Return what one egg of the chosen size gives of a part [g]."""
        id_ = WHITE if part == "white" else YOLK
        known = self.catalogue.household.get((id_, self.options.egg_size))
        return self.catalogue.ingredients[id_].household_g if known is None else known.grams

    def makings(self, coat: Formulation, filling: Formulation, portions: Sequence[Portion]) -> tuple[Making, ...]:
        asked: dict[str, tuple[Formulation, list[Role], Need]] = {}
        roles: tuple[tuple[Formulation, Role], ...] = ((coat, "coat"), (filling, "filling"))
        for formulation, role in roles:
            density = self.catalogue.formulation_fact(formulation, "density").value
            need = need_of(portions, role, density, self.losses)
            if need.whole_g > 0:
                _, earlier, before = asked.get(formulation.id, (formulation, [], Need(0, 0, 0, 0)))
                asked[formulation.id] = formulation, [*earlier, role], before + need
        return tuple(self.making(formulation, tuple(parts), need) for formulation, parts, need in asked.values())

    def making(self, formulation: Formulation, roles: tuple[Role, ...], need: Need) -> Making:
        def about(name: str) -> Fact:
            return self.catalogue.formulation_fact(formulation, name)

        density = about("density")
        unit = unit_of(formulation, self.egg_g, self.number("syrup", "start_water"))
        most_g = bowl_takes_g(self.bowl_l, self.number("mixer", "fill_share"), density.low)
        preparation = prepare(formulation, unit, need.whole_g, most_g)
        steps = tuple(heat_steps(preparation, batch, self.brief.altitude_m) for batch in preparation.batches)
        keeping = about("refrigerated_days"), about("frozen_months")
        return Making(formulation, roles, need, preparation, steps, density, *keeping)

    def eggs(self, makings: Sequence[Making]) -> EggCount | None:
        made = [making.preparation for making in makings]
        white_g, yolk_g = self.egg_g("white"), self.egg_g("yolk")
        uses = [(each.eggs("white", white_g), each.eggs("yolk", yolk_g)) for each in made]
        used = math.fsum(each.shell_g("white") for each in made), math.fsum(each.shell_g("yolk") for each in made)
        counted = count_eggs(uses, (white_g, yolk_g), used)
        return counted if counted.eggs else None

    def egg_keeping(self) -> tuple[Fact, Fact, Fact, Fact]:
        white, yolk = "raw-egg:white", "raw-egg:yolk"
        days, months = "refrigerated_days", "frozen_months"
        return self.fact(white, days), self.fact(yolk, days), self.fact(white, months), self.fact(yolk, months)

    def shopping(self, makings: Sequence[Making], eggs: EggCount | None) -> ShoppingList:
        taken = weighed_in(making.preparation for making in makings)
        wanted = [
            Wanted(id_, item.name, grams, usual_packs(self.catalogue).get(id_))
            for id_, (item, grams) in taken.items()
            if id_ not in (WHITE, YOLK)
        ]
        if eggs is not None:
            dozen = usual_packs(self.catalogue)[EGGS]
            wanted.insert(0, Wanted(EGGS, f"Eggs, {self.options.egg_size}", eggs.eggs, dozen, in_pieces=True))
        return buy(sorted(wanted, key=lambda each: each.pack is None), self.options.packs)

    def others(
        self, pairs: list[tuple[str, str]], portions: Sequence[Portion], own: ShoppingList
    ) -> Iterator[OtherCost]:
        for pair in pairs:
            coat, filling = (self.catalogue.formulations[id_] for id_ in pair)
            makings = self.makings(coat, filling, portions)
            bought = self.shopping(makings, self.eggs(makings))
            price, (_, assumed) = bought.used_price, bought.assumed(self.options.packs)
            # Of the prices as they are shown, so that the three add up on paper.
            yield OtherCost(coat, filling, price, round(price, 2) - round(own.used_price, 2), assumed)

    def stack(self, portions: Sequence[Portion], makings: Sequence[Making]) -> Stack | None:
        if not self.brief.tiers:
            return None
        density = {role: making.density.value for making in makings for role in making.roles}
        supports = Supports(
            dowel_each_cm=self.number("dowel", "each_cm"),
            least_dowels=round(self.number("dowel", "least")),
            board_mm=self.number("board", "thickness_mm"),
            margin_mm=self.number("board", "margin_mm"),
            apart_kg=self.number("carry", "apart_kg"),
            apart_tiers=round(self.number("carry", "apart_tiers")),
        )
        foot_mm = border_mm(self.layout().foot_edge_ml_m)
        return stack_of(list(self.tier_masses(portions, density)), self.brief.coat_mm, supports, foot_mm)

    def tier_masses(self, portions: Sequence[Portion], density: dict[Role, float]) -> Iterator[TierMass]:
        sponge = self.number(f"sponge:{self.brief.sponge}", "density") / 1000
        for (name, size), tier in zip(self.tiers, self.brief.tiers, strict=True):
            grams = {
                role: density.get(role, 0.0) * math.fsum(p.ml for p in portions if (p.place, p.role) == (name, role))
                for role in ("coat", "filling")
            }
            filling_mm = self.layout().filling_mm
            depth = depth_across(tier.shape, tier.width_cm, tier.depth_cm)
            sponge_g = size.sponge_ml(filling_mm) * sponge
            yield TierMass(name, size, tier.width_cm, depth, sponge_g, grams["filling"], grams["coat"])

    def cautions(self, makings: Sequence[Making], stack: Stack | None) -> tuple[Rule, ...]:
        kinds = {step.kind for making in makings for steps in making.steps for step in steps}
        has_egg = any(line.ingredient.egg_part != "none" for making in makings for line in making.formulation.lines)
        applies = {
            "hot-syrup-burns": "syrup" in kinds,
            "syrup-not-pasteurising": "syrup" in kinds and has_egg,
            "egg-cooking": "water-bath" in kinds,
            "stacked-supports": stack is not None and len(stack.standings) > 1,
            "not-food": stack is not None and len(stack.standings) > 1,
            "allergens": True,
            "planning-help": True,
        }
        return tuple(self.catalogue.rules[id_] for id_, is_so in applies.items() if is_so)


def balance_of(makings: Sequence[Making]) -> Balance:
    """Return where all that is weighed in goes."""
    made = [making.preparation for making in makings]
    needs = [making.need for making in makings]
    return Balance(
        weighed_g=math.fsum(grams for _, grams in weighed_in(made).values()),
        boiled_off_g=math.fsum(each.boiled_off_g for each in made),
        on_cake_g=math.fsum(need.on_cake_g for need in needs),
        bowl_g=math.fsum(need.bowl_g for need in needs),
        bag_g=math.fsum(need.bag_g for need in needs),
        trimming_g=math.fsum(need.trimming_g for need in needs),
        over_g=math.fsum(making.over_g for making in makings),
    )

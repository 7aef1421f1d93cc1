"""How a buttercream is made, step by step, by its stages: the hot steps with what goes before and after them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from webapp.catalogue.model import Formulation

_FOAM, _THIN = ("meringue", "yolk-foam"), "aquafaba"
_WHIPPED = {"meringue": "to soft peaks", "yolk-foam": "until pale and thick"}


def method_words(formulation: Formulation, hot: Mapping[str, str]) -> Iterator[str]:
    """Yield the steps of one batch; ``hot`` holds the sentences of its hot steps by their kind."""
    if _named(formulation, _THIN):
        yield (
            "Aquafaba that runs like water: boil it down to about two thirds, until it clings like raw egg white, and "
            "let it cool. Then weigh it."
        )
    if not hot:
        yield _creamed(formulation)
        return
    if "syrup" in hot:
        yield hot["syrup"]
        yield _poured(formulation)
    else:
        yield from (said + _off_the_heat(formulation) for kind, said in hot.items() if kind != "cool")
    yield f"{hot['cool']} Only then beat in {_all_of(formulation, 'fat')}, soft, bit by bit{_last(formulation)}."


def _creamed(formulation: Formulation) -> str:
    """Say how fat and dry sugar are beaten: nothing is heated."""
    sugar = [name for name in _names(formulation, "beat") if "sugar" in name]
    wet = [name for name in _names(formulation, "beat") if "sugar" not in name]
    said = f"Beat {_all_of(formulation, 'fat')}, soft, until pale."
    if sugar:
        said += f" Sift in {_joined(sugar)} in three parts on low speed{', then ' + _joined(wet) if wet else ''}."
    return f"{said} Beat until light{_last(formulation)}."


def _off_the_heat(formulation: Formulation) -> str:
    """Name what goes into the foam beside what the bath warms."""
    warmed = (_THIN, "granulated-sugar")
    foam = [line.ingredient for line in formulation.lines if line.stage == "meringue"]
    more = [each.name.lower() for each in foam if each.egg_part == "none" and each.id not in warmed]
    return f" Off the heat, stir in {_joined(more)}." if more else ""


def _poured(formulation: Formulation) -> str:
    stage = next((line.stage for line in formulation.lines if line.stage in _FOAM), None)
    if stage is None:
        return "Pour the syrup in at once, in a thin stream down the side of the bowl, the whisk running."
    return (
        f"Meanwhile whip {_foamed(formulation, stage)} {_WHIPPED[stage]}. Pour the syrup in at once, in a thin stream "
        "between whisk and bowl, the whisk running."
    )


def _foamed(formulation: Formulation, stage: str) -> str:
    lines = [line.ingredient for line in formulation.lines if line.stage == stage]
    return _joined([{"white": "the whites", "yolk": "the yolks"}.get(e.egg_part, e.name.lower()) for e in lines])


def _last(formulation: Formulation) -> str:
    flavours = _names(formulation, "flavour")
    return f"; last {_joined(flavours)}" if flavours else ""


def _all_of(formulation: Formulation, stage: str) -> str:
    return _joined(_names(formulation, stage)) or "the rest"


def _names(formulation: Formulation, stage: str) -> list[str]:
    return [line.ingredient.name.lower() for line in formulation.lines if line.stage == stage]


def _named(formulation: Formulation, id_: str) -> bool:
    return any(line.ingredient.id == id_ for line in formulation.lines)


def _joined(names: list[str]) -> str:
    *first, last = names or [""]
    return f"{', '.join(first)} and {last}" if first else last

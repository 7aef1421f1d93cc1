"""The trade's words that the pages use, each in a plain sentence or two of our own."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Blueprint, Flask, render_template

from webapp.pages.guard import may


@dataclass(frozen=True, slots=True)
class Word:
    """A word with what it means; its id is the anchor that pages link to."""

    id: str
    term: str
    meaning: str


@dataclass(frozen=True, slots=True)
class Group:
    """Words that belong together, in the order in which they explain each other."""

    id: str
    title: str
    words: tuple[Word, ...]


GROUPS = (
    Group(
        "on-the-cake",
        "On the cake",
        (
            Word("coat", "Coat", "The buttercream on the outside. It meets the heat, so it is chosen first."),
            Word("filling", "Filling", "The buttercream between the layers of sponge."),
            Word("pairing", "Pairing", "One coat with one filling. Both may be the same buttercream."),
            Word(
                "dam",
                "Dam",
                "A ring of firm buttercream piped at the rim of a layer. It keeps in a softer filling.",
            ),
            Word(
                "crumb-coat",
                "Crumb coat",
                "A first thin coat that catches the crumbs, chilled before the real one.",
            ),
            Word("tier", "Tier", "One cake of a stack, with its own layers, its own coat and its own board."),
            Word("layer", "Layer", "One sheet of sponge inside a tier."),
            Word("board", "Board", "The stiff card under a tier. It rests on the dowels of the tier below."),
            Word(
                "dowel",
                "Dowel",
                "A rod cut to the height of a tier and stood in it. The tier above rests on these rods "
                "and its board, not on the buttercream.",
            ),
            Word("border", "Border", "A row of beads, shells or ropes piped along an edge."),
            Word("rosette", "Rosette", "A rose-like swirl piped in one turn or a little more with a star tip."),
            Word(
                "fine-work",
                "Fine work",
                "Piped flowers, lace and strings. Thin edges are the first to blur.",
            ),
        ),
    ),
    Group(
        "in-the-heat",
        "In the heat",
        (
            Word(
                "hold",
                "Hold",
                "How long the cake still looks as it was made, counted from its arrival on the table. "
                "It says nothing about whether the cake is still fit to eat.",
            ),
            Word("softens", "Softens", "Warm enough for piped edges to lose their sharpness."),
            Word("slumps", "Slumps", "Warm enough for the coat to move under its own weight."),
            Word(
                "crust",
                "Crust",
                "The thin dry skin that forms on a very sugary coat in dry air. It helps a coat to "
                "stand and keeps dust off.",
            ),
            Word(
                "dew-point",
                "Dew point",
                "The temperature at which the air lets its water go. A coat colder than that sweats.",
            ),
            Word(
                "sweating",
                "Sweating",
                "Fine drops of water on a cold cake in warm, damp air. Colours can run.",
            ),
            Word(
                "holds",
                "Holds",
                "At least nine chances in ten that the cake keeps its look for the hours asked.",
            ),
            Word(
                "may-not-hold",
                "May not hold",
                "At least an even chance to hold, but no promise: fewer than nine times in ten.",
            ),
            Word(
                "no-coat-holds",
                "No coat holds",
                "Even the best coat is likelier to lose its look before the hours asked are over than to keep it.",
            ),
            Word(
                "nothing-fits",
                "Nothing fits",
                "What the brief asks leaves no coat or no filling: the client’s diet, for example, with what the "
                "kitchen lacks.",
            ),
            Word(
                "tie",
                "Tie",
                "Two pairings too close to tell apart with what is known. The simpler to make goes first.",
            ),
        ),
    ),
    Group(
        "buttercreams",
        "Buttercreams",
        (
            Word(
                "family",
                "Family",
                "Buttercreams made by the same method: American, Swiss, Italian and French.",
            ),
            Word(
                "formulation",
                "Formulation",
                "One formula of a family, in grams: with butter, with shortening, without egg …",
            ),
            Word(
                "american",
                "American",
                "Powdered sugar beaten into fat. No egg, sweet, and it forms a crust.",
            ),
            Word(
                "swiss",
                "Swiss",
                "Egg whites (or a stand-in) warmed with sugar, whipped, then butter or other fat beaten in.",
            ),
            Word(
                "italian",
                "Italian",
                "Hot syrup poured into whipping egg whites (or a stand-in), then butter or other fat beaten in.",
            ),
            Word(
                "french",
                "French",
                "Hot syrup poured into whipping egg yolks, then butter or other fat beaten in. Rich and yellow.",
            ),
            Word(
                "meringue",
                "Meringue",
                "Egg whites (or a stand-in) whipped with sugar into a firm foam.",
            ),
            Word(
                "soft-ball",
                "Soft-ball",
                "Syrup boiled until a drop of it, cooled in water, can be pressed like soft clay. Use a "
                "thermometer: hot syrup burns.",
            ),
        ),
    ),
    Group(
        "what-goes-in",
        "What goes in",
        (
            Word(
                "high-ratio-shortening",
                "High-ratio shortening",
                "A solid white fat with emulsifiers, made for icing. It takes up more sugar and water "
                "than an ordinary one without splitting.",
            ),
            Word(
                "ordinary-shortening",
                "Ordinary shortening",
                "A solid white vegetable fat from the grocer, for baking and frying. In a wet icing it can split.",
            ),
            Word(
                "plant-block",
                "Plant block",
                "A firm margarine without dairy, made to be used like butter. Brands differ in how warm "
                "they may get.",
            ),
            Word("aquafaba", "Aquafaba", "The liquid of cooked chickpeas. It whips much like egg white."),
            Word(
                "pasteurised-egg",
                "Pasteurised egg",
                "Egg that its producer heated for long enough to make it safer. It is still liquid.",
            ),
            Word(
                "undercooked-egg",
                "Undercooked egg",
                "Egg not shown to have been heated enough. Egg heated only by hot syrup counts as undercooked.",
            ),
        ),
    ),
)
WORDS = {word.id: word for group in GROUPS for word in group.words}

blueprint = Blueprint("glossary", __name__)


@blueprint.get("/words")
@may("staff")
def list_words() -> str:
    return render_template("words.html", groups=GROUPS)


def init_app(app: Flask) -> None:
    app.register_blueprint(blueprint)
    # A global, as the macros that explain a word are imported without a page's context.
    app.jinja_env.globals["meaning_of"] = lambda word: WORDS[word].meaning

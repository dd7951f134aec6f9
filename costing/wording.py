"""Sentences that stand on a quote unless somebody writes others."""

from datetime import date

from studio.web.formats import locale_of

EXCLUSIONS = """Carriage, crates and insurance on the way.
Mending or strengthening the piece beyond what is said under scope.
Painting, patina, fittings and mounts.
More castings than are listed, and changes to the piece after work has begun."""

_OWNED = "The mold is made for this commission and is the client's once everything is paid. It is used for nobody else."
_AGES = "Rubber ages even on the shelf."

PIECE_AT_RISK = (
    "The piece is sealed, brushed with release and loaded with rubber. This can darken it, lift loose paint or gilding, or "
    "break weak parts. Tell us of repairs and weak places before work begins."
)

DUST = (
    "Sanding, drilling or sawing a resin casting",
    "The dust harms lungs and eyes and may cause allergy.",
    "Work wet or with extraction, wear a fitted dust mask and eye protection, and read the resin's safety data sheet, "
    "which we send on request.",
)

# What a client gets in hand. Common practice; each defers to the data sheet of the material that was used.
POLYURETHANE_CASTING = (
    "A polyurethane casting in heat or fire",
    "Cut with a hot wire, burnt or overheated it gives off poisonous smoke, isocyanates among it.",
    "Cut it cold, keep it from flame and hot lamps, and use it for nothing that food or drink touches.",
)
POLYESTER_CASTING = (
    "A fresh polyester casting smells of styrene",
    "The vapour irritates eyes and airways and gives headaches in a closed room.",
    "Let it stand in moving air until the smell is gone, and keep it from flame.",
)
EPOXY_CASTING = (
    "Epoxy that has not cured right through",
    "Dust and smears of it can make the skin allergic for life.",
    "Leave it for the days that its data sheet asks before sanding it, and wear nitrile gloves.",
)
TIN_MOLD = (
    "A mold of tin-cured rubber",
    "Traces of its catalyst stay in the rubber.",
    "Cast nothing in it that is eaten or worn on the skin.",
)
POLYESTER_SHELL = (
    "A fresh shell of polyester smells of styrene",
    "The vapour irritates eyes and airways and gives headaches in a closed room.",
    "Keep the mold in moving air until the smell is gone.",
)
GLASS_SHELL = (
    "Edges of a laminated shell",
    "Glass fibres and splinters prick the skin, and their dust harms the lungs.",
    "Wear gloves to open and close it; if it is cut or sanded, work wet and wear a fitted dust mask.",
)
PLASTER_SHELL = (
    "A plaster shell is brittle",
    "Dropped or lifted by an edge it breaks, and falling pieces hurt.",
    "Carry it from below, with two where it is heavy, and keep it dry.",
)
HEAVY_MOLD = (
    "The mold in its shell is heavy",
    "Lifting it alone hurts backs, and a mold that falls is lost.",
    "Lift it with two or with a hoist, shell piece by shell piece where it comes apart.",
)

WARMTH = "Warmth changes the size of rubber too; small differences between castings are in the nature of the work."

NO_SHRINKAGE = (
    "How much these materials shrink is not stated by their data sheets; no size is promised. "
    "Ask for a trial casting if size matters."
)


def mold_life(castings: float) -> str:
    """Say how long a mold lasts."""
    return (
        f"A mold wears. One of this rubber usually gives about {castings:.0f} castings before detail softens or edges tear; "
        "this is experience, not a promise."
    )


def lead_time(working_days: int) -> str:
    """Say when the work is done."""
    unit = "working day" if working_days == 1 else "working days"
    return f"About {working_days} {unit} after the deposit and the piece have reached us."


def long_date(on: date, locale: str) -> str:
    """Write a date with its year, as a contract needs it."""
    from babel.dates import format_date

    return str(format_date(on, "long", locale=locale_of(locale)))


def ownership_words(*, free_months: int, fee: str, tax_name: str = "") -> str:
    """Say whose the mold is and how it is kept; `fee` is what a month of storage costs, empty where nothing is charged."""
    months = "1 month" if free_months == 1 else f"{free_months} months"
    free = f"free of charge for {months} after delivery" if free_months else "after delivery"
    before = f", before {tax_name}" if tax_name else ""
    after = (
        f"after that storage costs {fee} a month{before}, and we ask whether to send it, keep it or scrap it"
        if fee and free_months
        else f"at {fee} a month{before}; we ask in good time whether to send it, keep it or scrap it"
        if fee
        else "after that we ask whether to send it, keep it for a fee, or scrap it"
    )
    joint = ", " if fee and not free_months else "; "
    return f"{_OWNED}\nIt is kept in the studio, flat, dry and dark, {free}{joint}{after}. {_AGES}"


OWNERSHIP = ownership_words(free_months=12, fee="")

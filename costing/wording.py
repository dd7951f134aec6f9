"""Sentences that stand on a quote unless somebody writes others."""

EXCLUSIONS = """Carriage, crates and insurance on the way.
Mending or strengthening the piece beyond what is said under scope.
Painting, patina, fittings and mounts.
More castings than are listed, and changes to the piece after work has begun."""

OWNERSHIP = (
    "The mold is made for this commission and is the client's once everything is paid. It is used for nobody else.\n"
    "It is kept in the studio, flat, dry and dark, free of charge for 12 months after delivery; after that we ask whether to "
    "send it, keep it for a fee, or scrap it. Rubber ages even on the shelf."
)

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

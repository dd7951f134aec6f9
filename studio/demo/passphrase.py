"""Passphrases for the demo's accounts, drawn anew on each machine."""

import secrets

WORDS = (
    "anvil apron arbor basin batten beeswax bellows bench bevel blanket brush burlap caliper candle cedar chalk chisel clamp "
    "cobble copper cork crate dowel easel ember fennel flint funnel gable garnet girder hammer hazel hinge juniper kettle "
    "ladle lantern larch lattice linen mallet marble mortar nettle oakum pebble pewter plinth quarry rasp ribbon saddle "
    "shingle slate spindle spruce tallow thimble timber trestle trowel walnut wicker willow"
).split()


def draw_passphrase(words: int = 6) -> str:
    """Return random words; six of them are about 36 bits, behind the sign-in's throttle."""
    return " ".join(secrets.choice(WORDS) for _ in range(words))

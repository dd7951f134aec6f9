"""What size a casting comes out."""

from materials.science.errors import ScienceError


def linear_from_volume(volume_share: float) -> float:
    """Compute linear shrinkage from volume shrinkage, both as shares: 1 − (1 − s)^(1/3)."""
    if not 0 <= volume_share < 1:
        raise ScienceError("A volume shrinkage must lie between 0 and 100 %.")
    return float(1 - (1 - volume_share) ** (1 / 3))


def cast_length_mm(*, piece_length_mm: float, mold_percent: float, resin_percent: float) -> float:
    """Compute a length of the casting: L (1 − s_mold)(1 − s_resin) [mm].

    A blanket in a rigid shell is partly held at size, so this is the small end.
    """
    if not (0 <= mold_percent < 100 and 0 <= resin_percent < 100):
        raise ScienceError("A linear shrinkage must lie between 0 and 100 %.")
    return piece_length_mm * (1 - mold_percent / 100) * (1 - resin_percent / 100)


def oversize_factor(*, mold_percent: float, resin_percent: float) -> float:
    """Compute by what the piece must be larger for the casting to come out at size."""
    return 1 / cast_length_mm(piece_length_mm=1.0, mold_percent=mold_percent, resin_percent=resin_percent)

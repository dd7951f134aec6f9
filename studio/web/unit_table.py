"""The units that forms read and pages show: symbols, the names people type, and which a studio prefers."""

from dataclasses import dataclass
from functools import cache

METRIC, US = "metric", "us"


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: its key in the code, the symbol on the page, its expression at the door, and what it measures."""

    key: str
    symbol: str
    expression: str
    kind: str
    names: tuple[str, ...] = ()


def _unit(key: str, symbol: str, expression: str, kind: str, names: str = "") -> Unit:
    return Unit(key, symbol, expression, kind, tuple(name for name in names.split("|") if name))


_TABLE = (
    _unit("um", "µm", "micrometer", "length", "µm|μm|micron|microns"),
    _unit("mm", "mm", "millimeter", "length", "millimetre|millimetres|millimeter|millimeters"),
    _unit("cm", "cm", "centimeter", "length", "centimetre|centimetres|centimeter|centimeters"),
    _unit("dm", "dm", "decimeter", "length"),
    _unit("m", "m", "meter", "length", "metre|metres|meter|meters"),
    _unit("in", "in", "inch", "length", 'inch|inches|"|″|”|“'),
    _unit("ft", "ft", "foot", "length", "foot|feet|'|′|’|‘"),
    _unit("yd", "yd", "yard", "length", "yard|yards"),
    _unit("thou", "thou", "thou", "length"),
    _unit("mg", "mg", "milligram", "mass", "milligram|milligrams"),
    _unit("g", "g", "gram", "mass", "gram|grams|gramme|grammes"),
    _unit("kg", "kg", "kilogram", "mass", "kilo|kilos|kilogram|kilograms"),
    _unit("t", "t", "metric_ton", "mass", "tonne|tonnes"),
    _unit("oz", "oz", "ounce", "mass", "ounce|ounces"),
    _unit("lb", "lb", "pound", "mass", "lbs|pound|pounds"),
    _unit("mm2", "mm²", "millimeter**2", "area", "sq mm"),
    _unit("cm2", "cm²", "centimeter**2", "area", "sq cm"),
    _unit("m2", "m²", "meter**2", "area", "sq m"),
    _unit("in2", "in²", "inch**2", "area", "sq in|square inch|square inches"),
    _unit("ft2", "ft²", "foot**2", "area", "sq ft|square foot|square feet"),
    _unit("yd2", "yd²", "yard**2", "area", "sq yd"),
    _unit("mm3", "mm³", "millimeter**3", "volume"),
    _unit("mL", "mL", "milliliter", "volume", "ml|millilitre|millilitres|milliliter|milliliters"),
    _unit("cL", "cL", "centiliter", "volume", "cl"),
    _unit("dL", "dL", "deciliter", "volume", "dl"),
    _unit("L", "L", "liter", "volume", "l|litre|litres|liter|liters"),
    _unit("cm3", "cm³", "centimeter**3", "volume", "cc|ccm|cu cm"),
    _unit("m3", "m³", "meter**3", "volume", "cu m"),
    _unit("in3", "in³", "inch**3", "volume", "cu in|cubic inch|cubic inches"),
    _unit("ft3", "ft³", "foot**3", "volume", "cu ft|cubic foot|cubic feet"),
    _unit("floz", "fl oz", "floz", "volume", "fl oz|fl. oz|fl. oz.|fluid ounce|fluid ounces"),
    _unit("pt", "US pt", "pint", "volume", "pt|pint|pints"),
    _unit("qt", "US qt", "quart", "volume", "qt|quart|quarts"),
    _unit("gal", "US gal", "gallon", "volume", "gal|gallon|gallons"),
    _unit("s", "s", "second", "time", "sec|second|seconds"),
    _unit("min", "min", "minute", "time", "mins|minute|minutes"),
    _unit("h", "h", "hour", "time", "hr|hrs|hour|hours"),
    _unit("day", "days", "day", "time", "d|day"),
    _unit("week", "weeks", "week", "time", "week|wk"),
    _unit("degC", "°C", "degC", "temperature", "°c|c|celsius|degrees celsius|ºc"),
    _unit("degF", "°F", "degF", "temperature", "°f|f|fahrenheit|degrees fahrenheit|ºf"),
    _unit("K", "K", "delta_degC", "temperature step", "kelvin"),
    _unit("stepF", "°F", "delta_degF", "temperature step", "°f|f"),
    _unit("Pa", "Pa", "pascal", "pressure"),
    _unit("kPa", "kPa", "kilopascal", "pressure"),
    _unit("MPa", "MPa", "megapascal", "pressure", "n/mm2|n/mm²"),
    _unit("psi", "psi", "psi", "pressure"),
    _unit("Pa*s", "Pa·s", "pascal*second", "viscosity", "pas|pa s|pa.s"),
    _unit("mPa*s", "mPa·s", "millipascal*second", "viscosity", "mpas|mpa s|mpa.s|cp|cps"),
    _unit("N", "N", "newton", "force"),
    _unit("kN", "kN", "kilonewton", "force"),
    _unit("lbf", "lbf", "pound_force", "force", "pound-force"),
    _unit("kJ", "kJ", "kilojoule", "energy"),
    _unit("kWh", "kWh", "kilowatt_hour", "energy"),
    _unit("%", "%", "", "share", "percent|per cent|pct"),
    _unit("kg*m", "kg·m", "kilogram*meter", "moment of mass"),
    _unit("lb*ft", "lb·ft", "pound*foot", "moment of mass"),
    _unit("ppm", "ppm", "", "share in a million"),
    _unit("1", "", "", "number"),
    _unit("money", "", "", "money"),
)
UNITS: dict[str, Unit] = {unit.key: unit for unit in _TABLE}

# The unit in which a US studio reads a bare number and sees a rate, for the unit that the code keeps.
_US_UNIT = {
    "um": "thou", "mm": "in", "cm": "in", "dm": "in", "m": "ft",
    "mg": "oz", "g": "oz", "kg": "lb", "t": "lb",
    "mm2": "in2", "cm2": "in2", "m2": "ft2",
    "mm3": "in3", "mL": "floz", "cL": "floz", "dL": "floz", "cm3": "in3", "L": "qt", "m3": "ft3",
    "degC": "degF", "K": "stepF", "Pa": "psi", "kPa": "psi", "MPa": "psi", "kg*m": "lb*ft",
    "N": "lbf", "kN": "lbf", "kN/m": "lbf/in",
}  # fmt: skip

# From the largest unit down, each with the least amount that is shown in it. US data sheets state density in g/cm³ and
# viscosity in mPa·s as well, so those stay.
_LADDERS: dict[tuple[str, str], tuple[tuple[str, float], ...]] = {
    ("length", METRIC): (("m", 1), ("mm", 0)),
    ("length", US): (("ft", 3), ("in", 0)),
    ("mass", METRIC): (("kg", 1), ("g", 0)),
    ("mass", US): (("lb", 1), ("oz", 0)),
    ("area", METRIC): (("m2", 0.1), ("cm2", 0)),
    ("area", US): (("ft2", 1), ("in2", 0)),
    ("volume", METRIC): (("L", 1), ("mL", 0)),
    ("volume", US): (("gal", 1), ("qt", 1), ("floz", 0)),
    ("pressure", METRIC): (("MPa", 1), ("kPa", 1), ("Pa", 0)),
    ("pressure", US): (("psi", 0),),
    ("viscosity", METRIC): (("Pa*s", 10), ("mPa*s", 0)),
    ("viscosity", US): (("Pa*s", 10), ("mPa*s", 0)),
    ("temperature", METRIC): (("degC", float("-inf")),),
    ("temperature", US): (("degF", float("-inf")),),
}


@cache
def unit_of(key: str) -> Unit:
    """Find a unit by its key; "min/m2" is put together, a word that is no unit ("coats") counts things."""
    if key in UNITS:
        return UNITS[key]
    if "/" in key:
        over, *under = key.split("/")
        parts = [unit_of(part) for part in (over, *under)]
        top = parts[0].symbol or ("1" if parts[0].key == "1" else "")
        return Unit(
            key,
            "/".join([top, *(_below(part) for part in parts[1:])]),
            "",
            "/".join(part.kind for part in parts),
        )
    return Unit(key, key, "", f"count of {key}" if key else "number")


def _below(unit: Unit) -> str:
    return {"days": "day", "weeks": "week"}.get(unit.symbol, unit.symbol)


def preferred(key: str, system: str) -> str:
    """Return the unit in which a studio reads a bare number for a value kept in `key`."""
    if system != US or unit_of(key).kind == "mass/volume":
        return key
    if "/" in key and key not in _US_UNIT:
        return "/".join(_US_UNIT.get(part, part) for part in key.split("/"))
    return _US_UNIT.get(key, key)


def ladder(key: str, system: str) -> tuple[tuple[str, float], ...]:
    """Return the units that a value kept in `key` may be shown in, largest first, each with its least amount."""
    return _LADDERS.get((unit_of(key).kind, system), ((preferred(key, system), 0),))


@cache
def names(kind: str) -> dict[str, str]:
    """Map what people type to unit keys, for one kind of quantity; case matters only where it decides."""
    found: dict[str, str] = {}
    for unit in _TABLE:
        if unit.kind == kind:
            for name in (unit.key, unit.symbol, *unit.names):
                found.setdefault(name, unit.key)
                found.setdefault(name.lower(), unit.key)
    return found


@cache
def all_names() -> dict[str, Unit]:
    """Map what people type to units of every kind, to say what a wrong unit measures."""
    found: dict[str, Unit] = {}
    for unit in _TABLE:
        for name in (unit.key, unit.symbol, *unit.names):
            if name:
                found.setdefault(name.lower(), unit)
    return found

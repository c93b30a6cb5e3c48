"""The units that are taken, as people spell them in English, German and Spanish, each with its name in pint.

A text never reaches pint: it is looked up here, so an expression typed into a field is refused and not computed.
"""
from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple


class Unit(NamedTuple):
    """A unit: what it measures and its name in pint."""

    measures: str
    pint: str


_LENGTHS = {
    "millimeter": ("mm", "millimeter", "millimeters", "millimetre", "millimetres", "milímetros", "milimetros"),
    "centimeter": ("cm", "centimeter", "centimeters", "centimetre", "centimetres", "zentimeter", "centímetros",
                   "centimetros"),
    "meter": ("m", "meter", "meters", "metre", "metres", "metro", "metros"),
    "inch": ("in", "inch", "inches", '"', "zoll", "pulgada", "pulgadas"),
    "foot": ("ft", "foot", "feet", "'", "fuss", "pie", "pies"),
}
_FORCES = {
    "newton": ("n", "newton", "newtons"),
    "kilonewton": ("kn",),
    "decanewton": ("dan",),
    "force_kilogram": ("kgf", "kp", "kilopond"),
    "force_pound": ("lbf", "pound-force", "pounds-force"),
}
# In this trade a spring of "0.95 kg/mm" or "52 lb/in" is meant in the weight of that mass.
_WEIGHTS = {
    "newton": _FORCES["newton"],
    "kilonewton": _FORCES["kilonewton"],
    "force_kilogram": (*_FORCES["force_kilogram"], "kg", "kilo", "kilos"),
    "force_pound": (*_FORCES["force_pound"], "lb", "lbs", "pound", "pounds"),
}
_AREAS = {
    "millimeter**2": ("mm2", "sq mm", "square mm", "qmm"),
    "centimeter**2": ("cm2", "sq cm", "square cm"),
    "meter**2": ("m2", "sq m"),
    "inch**2": ("in2", "sq in", "square inch", "square inches", "inch2"),
}
_GIVEN: dict[str, dict[str, tuple[str, ...]]] = {
    "length": {**_LENGTHS, "kilometer": ("km", "kilometer", "kilometre", "kilometers", "kilometres")},
    "area": _AREAS,
    "volume": {
        "milliliter": ("ml", "cc", "ccm", "cm3", "cu cm", "milliliter", "milliliters", "millilitre", "millilitres",
                       "mililitros"),
        "centiliter": ("cl",),
        "deciliter": ("dl",),
        "liter": ("l", "ltr", "liter", "liters", "litre", "litres", "litro", "litros"),
        "millimeter**3": ("mm3",),
        "meter**3": ("m3",),
        "inch**3": ("in3", "cu in", "cubic inch", "cubic inches"),
        "US_fluid_ounce": ("fl oz", "floz", "us fl oz", "fl oz us", "fl oz (us)", "us floz", "us oz", "fluid ounce",
                           "fluid ounces", "us fluid ounce", "us fluid ounces"),
        "imperial_fluid_ounce": ("imp fl oz", "imperial fl oz", "uk fl oz", "fl oz imp", "fl oz uk", "fl oz (imp)",
                                 "fl oz (uk)", "imp floz", "imp oz", "uk oz", "imperial fluid ounce",
                                 "imperial fluid ounces"),
        "US_pint": ("us pt", "us pint", "us pints"),
        "US_liquid_quart": ("us qt", "us quart", "us quarts"),
        "imperial_pint": ("imp pt", "uk pint", "uk pints", "imperial pint", "imperial pints"),
    },
    "mass": {
        "kilogram": ("kg", "kgs", "kilo", "kilos", "kilogram", "kilograms", "kilogramme", "kilogrammes", "kilogramm",
                     "kilogramos"),
        "gram": ("g", "gr", "gram", "grams", "gramme", "grammes", "gramm", "gramos"),
        "tonne": ("t", "tonne", "tonnes"),
        "pound": ("lb", "lbs", "pound", "pounds", "lbm", "libra", "libras"),  # no "Pfund": that is half a kilogram too
        "ounce": ("oz", "ounce", "ounces"),
        "stone": ("st", "stone", "stones"),
    },
    "force": _FORCES,
    "pressure": {
        "bar": ("bar", "bars", "barg", "bar g", "bar(g)", "bar gauge"),
        "millibar": ("mbar", "millibar"),
        "pascal": ("pa", "pascal"),
        "hectopascal": ("hpa",),
        "kilopascal": ("kpa", "kpag", "kpa gauge"),
        "megapascal": ("mpa",),
        "psi": ("psi", "psig", "psi g", "psi gauge"),
        "technical_atmosphere": ("at",),
        "standard_atmosphere": ("atm",),
    },
    "absolute pressure": {
        "bar": ("bara", "bar a", "bar(a)", "bar abs", "bar absolute"),
        "kilopascal": ("kpaa", "kpa abs", "kpa absolute"),
        "psi": ("psia", "psi a", "psi abs", "psi absolute"),
    },
    "angle": {
        "degree": ("°", "deg", "degree", "degrees", "º", "grad", "grado", "grados"),
        "radian": ("rad", "radian", "radians"),
    },
    "temperature": {
        "degree_Celsius": ("°c", "º c", "ºc", "° c", "c", "degc", "deg c", "degrees c", "celsius",
                           "degrees celsius", "℃", "grad c", "grad celsius", "grados c", "grados celsius"),
        "degree_Fahrenheit": ("°f", "ºf", "° f", "f", "degf", "deg f", "degrees f", "fahrenheit",
                              "degrees fahrenheit", "℉"),
        "kelvin": ("k", "kelvin"),
    },
    "time": {
        "second": ("s", "sec", "secs", "second", "seconds", "sek", "sekunden", "seg", "segundos"),
        "millisecond": ("ms", "msec", "millisecond", "milliseconds"),
        "minute": ("min", "minute", "minutes", "minuten", "minutos"),
    },
    "viscosity": {
        "millimeter**2/second": ("mm2/s", "sq mm/s", "cst", "centistoke", "centistokes"),
        "meter**2/second": ("m2/s",),
    },
    "share": {"percent": ("%", "percent", "per cent", "pct")},
}


def _quotients() -> Iterator[tuple[str, Unit]]:
    for force, weights in _WEIGHTS.items():
        for weight in weights:
            for length, spellings in _LENGTHS.items():
                for spelling in spellings:
                    yield f"{weight}/{spelling}", Unit("spring rate", f"{force}/{length}")
                    yield f"{weight} {spelling}-1", Unit("spring rate", f"{force}/{length}")
            for area, spellings in _AREAS.items():
                for spelling in spellings:
                    yield f"{weight}/{spelling}", Unit("pressure", f"{force}/({area})")


def _spelled() -> Iterator[tuple[str, Unit]]:
    yield from _quotients()
    for measures, units in _GIVEN.items():
        for pint_name, spellings in units.items():
            for spelling in spellings:
                yield spelling, Unit(measures, pint_name)


UNITS: dict[str, Unit] = dict(_spelled())
"""Every spelling (tidied by ``plain_spelling``) with its unit."""


class Wanted(NamedTuple):
    """What a canonical unit stands for: said in refusals and used to guess a slip of units."""

    measures: str
    pint: str
    symbol: str
    name: str
    example: str
    others: tuple[str, ...]


WANTED: dict[str, Wanted] = {
    "mm": Wanted("length", "millimeter", "mm", "a length", "110 mm", ("in", "cm", "m")),
    "m": Wanted("length", "meter", "m", "a height", "250 m", ("ft", "km")),
    "mm**2": Wanted("area", "millimeter**2", "mm²", "an area", "120 mm²", ("cm²", "in²")),
    "ml": Wanted("volume", "milliliter", "ml", "a volume", "520 ml", ("l", "fl oz", "imp fl oz", "dl")),
    "kg": Wanted("mass", "kilogram", "kg", "a mass", "82 kg", ("lb", "st", "g")),
    "N": Wanted("force", "newton", "N", "a force", "60 N", ("kgf", "lbf")),
    "N/mm": Wanted("spring rate", "newton/millimeter", "N/mm", "a spring rate", "9.3 N/mm",
                   ("kgf/mm", "lbf/in", "N/m")),
    "bar": Wanted("pressure", "bar", "bar", "a gauge pressure", "0.5 bar", ("psi", "kPa", "mbar")),
    "degree": Wanted("angle", "degree", "°", "an angle", "24°", ("rad",)),
    "degC": Wanted("temperature", "degree_Celsius", "°C", "a temperature", "20 °C", ("°F", "K")),
    "mm**2/s": Wanted("viscosity", "millimeter**2/second", "mm²/s", "a viscosity", "32 mm²/s", ("cSt",)),
    "s": Wanted("time", "second", "s", "a time", "0.8 s", ("ms",)),
    "": Wanted("number", "dimensionless", "", "a plain number", "12", ()),
}
"""The canonical units of the case document."""

_ALIKE = str.maketrans({
    "²": "2", "³": "3", "⁻": "-", "¹": "1", "″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "·": " ", ".": "",
    "^": "",
})


def plain_spelling(text: str) -> str:
    """Return a typed unit in the form in which ``UNITS`` lists it: small letters, one space, ``/`` for "per"."""
    text = text.translate(_ALIKE).casefold().replace("''", '"').replace("**", "").replace(" per ", "/")
    return "/".join(" ".join(part.split()) for part in text.split("/"))

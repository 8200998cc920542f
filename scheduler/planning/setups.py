"""A press's state in parts, the time to change each, and the warm-up from cold."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from scheduler.domain.instance import Machine, SetupPart, SetupTable
from scheduler.domain.shop import Press, Pressure, Shop
from scheduler.domain.times import exact, ticks_up

PLATEN, PRESSURE, ARTWORK, TEMPERATURE = "platen", "pressure", "artwork", "temperature"

Artwork = tuple[tuple[str, str, str, int, int], ...]
"""What is lined up: for each transfer its placement, transfer type, artwork, width and height in mm.

The placement belongs to it: the same artwork at another place is lined up anew.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """Every value that a part of a press's state may take on the planned days, in a fixed order."""

    platens: tuple[str, ...]
    pressures: tuple[Pressure, ...]
    artworks: tuple[Artwork, ...]
    temps_c: tuple[int, ...]

    def state(
        self, platen: str, pressure: Pressure, artwork: Artwork, temp_c: int
    ) -> tuple[int, int, int, int]:
        """The state that a run needs, as indices into the values, in the order of the setup parts."""
        return (
            self.platens.index(platen),
            self.pressures.index(pressure),
            self.artworks.index(artwork),
            self.temps_c.index(temp_c),
        )


def temperature_ticks(press: Press, before_c: int, after_c: int, tick_s: int) -> int:
    """Ticks in which a hot press gets from one temperature to another, rounded up once."""
    rate = exact(press.heat_c_per_min if after_c > before_c else press.cool_c_per_min)
    return ticks_up(60 * Fraction(abs(after_c - before_c)) / rate, tick_s)


def warm_up_ticks(shop: Shop, press: Press, temp_c: int, tick_s: int) -> int:
    """Ticks from cold to a temperature: the press's own figure, or by its heating rate from room heat."""
    if press.warm_up_min is not None:
        return ticks_up(60 * exact(press.warm_up_min), tick_s)
    rise = max(0, temp_c - shop.allowances.room_c)
    return ticks_up(60 * Fraction(rise) / exact(press.heat_c_per_min), tick_s)


def hands_on_from_none(shop: Shop, platen: str, tick_s: int) -> int:
    """Ticks of the hands-on parts when nothing is set: the most that a run's set-up can take."""
    allowances = shop.allowances
    return (
        _swap_ticks(shop, platen, tick_s)
        + ticks_up(60 * exact(allowances.pressure_min), tick_s)
        + ticks_up(60 * exact(allowances.line_up_min), tick_s)
    )


def _swap_ticks(shop: Shop, platen: str, tick_s: int) -> int:
    for known in shop.platens:
        if known.name == platen:
            return ticks_up(60 * (exact(known.swap_min) + exact(known.pre_heat_min)), tick_s)
    raise KeyError(platen)


def _rates(press: Press) -> tuple[Fraction, Fraction]:
    return exact(press.heat_c_per_min), exact(press.cool_c_per_min)


def setup_parts(shop: Shop, settings: Settings, tick_s: int) -> tuple[SetupPart, ...]:
    """The four parts of a press's state, in the order in which they are done by hand, heat last.

    Swapping the platen counts by the platen that comes on, bringing it to heat included. Artwork is
    lined up anew on a freshly mounted platen. Temperature has one table for each pair of heating
    and cooling rates in the shop, in the order of its presses.
    """
    swaps = tuple(_swap_ticks(shop, platen, tick_s) for platen in settings.platens)
    pressure = (ticks_up(60 * exact(shop.allowances.pressure_min), tick_s),) * len(settings.pressures)
    line_up = (ticks_up(60 * exact(shop.allowances.line_up_min), tick_s),) * len(settings.artworks)
    by_rates = {_rates(press): press for press in reversed(shop.presses)}
    heat = tuple(
        SetupTable(
            from_none=(0,) * len(settings.temps_c),
            ticks=tuple(
                tuple(temperature_ticks(by_rates[rates], before, after, tick_s) for after in settings.temps_c)
                for before in settings.temps_c
            ),
        )
        for rates in distinct_rates(shop)
    )
    return (
        SetupPart(name=PLATEN, goes_with_platen=True, tables=(SetupTable(from_none=swaps, by_target=swaps),)),
        SetupPart(name=PRESSURE, tables=(SetupTable(from_none=pressure, by_target=pressure),)),
        SetupPart(
            name=ARTWORK, goes_with_platen=True, tables=(SetupTable(from_none=line_up, by_target=line_up),)
        ),
        SetupPart(name=TEMPERATURE, hands_off=True, ends_when_cold=True, tables=heat),
    )


def distinct_rates(shop: Shop) -> tuple[tuple[Fraction, Fraction], ...]:
    """The pairs of heating and cooling rates in the shop, each once, in the order of its presses."""
    return tuple(dict.fromkeys(_rates(press) for press in shop.presses))


def machines(shop: Shop, settings: Settings) -> tuple[Machine, ...]:
    """The presses: their tables, the platen left on them the evening before, and their circuits."""
    rates = distinct_rates(shop)
    return tuple(
        Machine(
            id=press.name,
            tables=(0, 0, 0, rates.index(_rates(press))),
            initial=(
                None if press.mounted is None else settings.platens.index(press.mounted),
                None,
                None,
                None,
            ),
            mounted=press.mounted,
            circuit=press.circuit,
            watts=press.watts,
        )
        for press in shop.presses
    )

"""When the causeway is dry: heights of the water from a handful of harmonic terms."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

HOURS_A_DAY = 24
#: Below this height, in metres, the lowest stone of the causeway is out of the water.
DRY_BELOW = 1.35


@dataclass(frozen=True, slots=True)
class Term:
    """One harmonic: how high it lifts the water, how fast it turns and where it starts."""

    name: str
    height: float
    degrees_an_hour: float
    phase: float = 0.0

    def at(self, hour: float) -> float:
        angle = math.radians(self.degrees_an_hour * hour - self.phase)
        return self.height * math.cos(angle)


TERMS = (
    Term("moon, twice a day", 1.82, 28.984104, 12.5),
    Term("sun, twice a day", 0.61, 30.0, phase=48.0),
    Term("moon, nearer and farther", 0.35, 28.43973, phase=351.0),
    Term("moon, once a day", 0.14, 13.943036),
)


@dataclass
class Gauge:
    """A staff in the mud that somebody reads now and then."""

    place: str
    mean: float = 2.0
    terms: tuple[Term, ...] = TERMS
    readings: dict[int, float] = field(default_factory=dict)

    def height(self, hour: float) -> float:
        return self.mean + sum(term.at(hour) for term in self.terms)

    def read(self, hour: int, value: float, *, trusted: bool = True) -> None:
        if value < 0 or not math.isfinite(value):
            raise ValueError(f"{self.place}: {value!r} is no height")
        if trusted or hour not in self.readings:
            self.readings[hour] = value

    def drift(self) -> float | None:
        """Mean of what was read less what was worked out; nothing where nothing was read."""
        if not self.readings:
            return None
        differences = [read - self.height(hour) for hour, read in self.readings.items()]
        return sum(differences) / len(differences)


def windows(gauge: Gauge, first: int, last: int, limit: float = DRY_BELOW) -> Iterator[tuple[int, int]]:
    """Spans of whole hours in which the way stays dry."""
    began: int | None = None
    for hour in range(first, last + 1):
        dry = gauge.height(hour) < limit
        if dry and began is None:
            began = hour
        elif not dry and began is not None:
            yield began, hour - 1
            began = None
    if began is not None:
        yield began, last


def table(gauges: Iterable[Gauge], days: int = 2) -> str:
    lines = ["place            from    to  lowest"]
    for gauge in sorted(gauges, key=lambda gauge: gauge.place):
        for start, end in windows(gauge, 0, days * HOURS_A_DAY - 1):
            lowest = min(gauge.height(hour) for hour in range(start, end + 1))
            lines.append(f"{gauge.place:<15} {start:>5} {end:>5} {lowest:7.2f}")
        match gauge.drift():
            case None:
                lines.append(f"{gauge.place:<15} nobody has been to look")
            case drift if abs(drift) > 0.2:
                lines.append(f"{gauge.place:<15} reads {drift:+.2f} m off: clean the staff")
            case _:
                pass
    return "\n".join(lines)


if __name__ == "__main__":
    creek, slip = Gauge("Heron Creek"), Gauge("Old Slip", mean=1.7)
    creek.read(3, 2.1)
    slip.read(9, 0.9, trusted=False)
    print(table([creek, slip]))

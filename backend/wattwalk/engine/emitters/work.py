"""An emitter on its way through the engine: compiled once, then asked for its output at any flow temperature."""

from __future__ import annotations

from dataclasses import dataclass, field

from wattwalk.survey.building import Emitter
from wattwalk.survey.known import known

from ..answers import Step
from .radiators import logarithmic_mean, radiator_output

#: Outputs remembered for one emitter: an assessment asks for some dozens of flows, mostly the same ones each time.
MOST_REMEMBERED = 256


@dataclass(eq=False)
class EmitterWork:
    """An emitter ready to be asked for its output; ``missing`` says why it cannot be.

    A heated floor has a coefficient, an area and a limit, every other emitter a rating and an exponent.  Once compiled it is
    never changed, so that it may be kept from one assessment to the next with the outputs it has been asked for.
    """

    emitter: Emitter
    words: str
    counts: bool
    inside_c: float | None
    rated_w: float | None = None
    exponent: float | None = None
    coefficient_w_m2k: float | None = None
    area_m2: float = 0.0
    limit_w_m2: float = 0.0
    limit_c: float = 0.0
    upward_m2k_w: float = 0.0
    is_bath: bool = False
    #: Of a mixed circuit: its flow temperature at the design cold, °C, and its flow less return, K.
    mixed: tuple[float, float] | None = None
    missing: list[str] = field(default_factory=list)
    steps: list[Step] = field(default_factory=list)
    source: str = ""
    _outputs: dict[tuple[float, float], float] = field(default_factory=dict, init=False, repr=False)

    @property
    def is_floor(self) -> bool:
        """Say whether it is a heated floor whose output is known."""
        return self.coefficient_w_m2k is not None

    def temperatures(self, flow_c: float, return_c: float) -> tuple[float, float]:
        """Return flow and return in °C of this emitter while the unit gives these: a mixing valve cools the water, and never warms it."""
        if self.mixed is None:
            return flow_c, return_c
        mixed_c, difference_k = self.mixed
        own_c = min(flow_c, mixed_c)
        return own_c, own_c - difference_k

    def output_w(self, flow_c: float, return_c: float) -> float | None:
        """Return the output in W at this flow and return in °C, or None while something is missing."""
        if self.mixed is not None:
            flow_c, return_c = self.temperatures(flow_c, return_c)
        output = self._outputs.get((flow_c, return_c))
        if output is not None:
            return output
        if self.missing or self.inside_c is None:
            return None
        if self.coefficient_w_m2k is not None:
            per_m2 = self.coefficient_w_m2k * logarithmic_mean(flow_c, return_c, self.inside_c)
            output = min(per_m2, self.limit_w_m2) * self.area_m2
        else:
            output = radiator_output(known(self.rated_w), known(self.exponent), flow_c, return_c, self.inside_c)
        if len(self._outputs) >= MOST_REMEMBERED:
            self._outputs.clear()
        self._outputs[flow_c, return_c] = output
        return output

    def is_limited(self, flow_c: float, return_c: float) -> bool:
        """Say whether the floor's surface would pass its limit at this flow."""
        if self.missing or self.coefficient_w_m2k is None or self.inside_c is None:
            return False
        flow_c, return_c = self.temperatures(flow_c, return_c)
        return self.coefficient_w_m2k * logarithmic_mean(flow_c, return_c, self.inside_c) > self.limit_w_m2 + 1e-9

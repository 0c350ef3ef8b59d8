"""What a running simulation notes down, to tell the truth from afterwards."""

from dataclasses import dataclass

from sensors.sim.circuit import Circuit


@dataclass(frozen=True, slots=True)
class BurstLog:
    """One burst at its onset. ``full_rise_pa`` is what its gas alone would make the gauge show."""

    time_s: float
    mass_kg: float
    release_s: float
    fall_s: float
    full_rise_pa: float
    noise_pa: float


@dataclass(frozen=True, slots=True)
class StateLog:
    """The circuit at one time. ``base_pa`` is what the gauge would show without burst water."""

    time_s: float
    drying_s: float
    base_pa: float
    water_pa: float
    pressure_pa: float
    fall_s: float
    factor: float
    equilibrium_pa: float
    leak_pa_m3_s: float
    temperature_c: float
    is_pumped: bool
    has_open_valve: bool
    is_boiling: bool
    is_frozen: bool

    @classmethod
    def of(cls, circuit: Circuit) -> "StateLog":
        """Note the circuit as it is."""
        factor = circuit.scenario.gauge.factor_at(circuit.pressure_pa)
        return cls(
            time_s=circuit.time_s,
            drying_s=circuit.drying_s,
            base_pa=(circuit.dry_pa + factor * circuit.smooth_pa) * circuit.near_share,
            water_pa=circuit.smooth_pa + circuit.burst_pa,
            pressure_pa=circuit.pressure_pa,
            fall_s=circuit.fall_s(),
            factor=factor,
            equilibrium_pa=circuit.scenario.outgassing.equilibrium_at(circuit.drying_s),
            leak_pa_m3_s=circuit.leak_pa_m3_s,
            temperature_c=circuit.temperature_c,
            is_pumped=circuit.is_pumped,
            has_open_valve=circuit.has_open_valve,
            is_boiling=circuit.is_boiling,
            is_frozen=circuit.is_frozen,
        )

"""The named scenarios. All are invented; the numbers are plausible, not measured anywhere."""

from dataclasses import replace

from sensors.sim.boiloff import BurstLaw, Outgassing
from sensors.sim.gauge import GaugeModel
from sensors.sim.hose import Hose
from sensors.sim.ice import Ice
from sensors.sim.pump import Pump
from sensors.sim.scenario import Scenario, ScriptedAction

_FADING = Outgassing(equilibrium_pa=200.0, decay_s=120.0, conductance_m3_s=1.2e-5)
_NOTHING_LEFT = Outgassing(equilibrium_pa=30.0, decay_s=300.0, conductance_m3_s=1.0e-5)
# 11 micron as a gauge for air shows it; rubber hoses add 2 to 15 in ten minutes [practice].
_HOSES = Outgassing(equilibrium_pa=1.0, conductance_m3_s=1.0e-5)
_WET = BurstLaw(rate_per_s=1 / 14, scale_s=1880.0, size_ug=130.0, size_decay_s=6000.0)
_CLEAN = BurstLaw(rate_per_s=1 / 25, scale_s=230.0, size_ug=110.0, size_decay_s=1500.0)
_SOAKED = BurstLaw(
    kind="power", rate_per_s=1 / 12, scale_s=600.0, beta=0.3, size_ug=160.0, size_decay_s=20e3
)
_DEMO = BurstLaw(
    rate_per_s=1 / 11, scale_s=1080.0, size_ug=130.0, size_decay_s=5000.0, regularity=2.0
)

_WET_CIRCUIT = Scenario(
    name="wet",
    about="a circuit that stood open for days: about two hours to flat",
    duration_s=9600.0,
    bursts=_WET,
    outgassing=_FADING,
)
_CLEAN_CIRCUIT = replace(
    _WET_CIRCUIT,
    name="clean",
    about="new parts, few bursts: flat in about twelve minutes",
    duration_s=2700.0,
    bursts=_CLEAN,
    outgassing=_NOTHING_LEFT,
)
_DRY_CIRCUIT = replace(_CLEAN_CIRCUIT, name="dry", about="no burst at all", bursts=None)
# A hold starts with the circuit already evacuated; dry gas stands for all that is in it.
_HOLD = replace(
    _DRY_CIRCUIT,
    name="hold-held",
    about="a standing test of a dry, tight circuit",
    duration_s=1800.0,
    start_pa=20.0,
    near_share=0.85,
    outgassing=Outgassing(equilibrium_pa=4.0, conductance_m3_s=1e-5),
    script=(ScriptedAction(0.0, "close-valve"), ScriptedAction(20.0, "pump-off")),
)
_STUBBORN = Outgassing(equilibrium_pa=70.0, conductance_m3_s=1.25e-5)
_DEMO_CIRCUIT = replace(
    _WET_CIRCUIT,
    name="demo",
    about="a wet circuit boils off and goes flat; then its valve may be closed for the hold",
    duration_s=7800.0,
    bursts=_DEMO,
    outgassing=replace(_FADING, decay_s=60.0),
    gauge=GaugeModel(has_temperature=True),
    near_share=0.93,
)

_ALL = (
    _WET_CIRCUIT,
    _CLEAN_CIRCUIT,
    replace(
        _WET_CIRCUIT,
        name="soaked",
        about="weeks open: many hours of boil-off, bursts fading as a power law",
        duration_s=12 * 3600.0,
        bursts=_SOAKED,
        outgassing=replace(_FADING, decay_s=900.0),
    ),
    _DRY_CIRCUIT,
    replace(
        _WET_CIRCUIT,
        name="ice",
        about="water freezes at a cold spot; the trace stands still until the ice has gone",
        ice=Ice(mass_kg=1.1e-3, warmth_w_per_k=0.015),
        duration_s=12600.0,
    ),
    replace(
        _CLEAN_CIRCUIT,
        name="leak",
        about="a leak holds the trace too high",
        leak_pa_m3_s=0.03,
        has_stalled=True,
    ),
    replace(
        _CLEAN_CIRCUIT,
        name="weak-pump",
        about="a worn pump ends too high",
        pump=Pump(4e-4, ultimate_pa=180.0),
        has_stalled=True,
    ),
    replace(
        _CLEAN_CIRCUIT,
        name="thin-hose",
        about="a long thin hose with its cores in place",
        duration_s=5400.0,
        hose=Hose(2.2e-3, 1.8),
        bursts=_WET,
        outgassing=replace(_FADING, decay_s=6000.0),
        has_stalled=True,
    ),
    replace(
        _DRY_CIRCUIT,
        name="gauge-shut-off",
        about="the gauge's own valve is shut: it sees a few millilitres of hose and no circuit",
        volume_m3=2.0e-5,
        outgassing=Outgassing(),
        is_gauge_shut_off=True,
    ),
    replace(
        _WET_CIRCUIT,
        name="pump-stopped",
        about="the pump stops during boil-off with its valve open",
        script=(ScriptedAction(2400.0, "pump-off"),),
        duration_s=3600.0,
    ),
    replace(
        _WET_CIRCUIT,
        name="sudden-air",
        about="air rushes in once, and is pumped away again",
        script=(ScriptedAction(2400.0, "air-in"),),
    ),
    replace(
        _WET_CIRCUIT,
        name="nitrogen-break",
        about="dry nitrogen is let in for five minutes, then pumping goes on",
        script=(ScriptedAction(1800.0, "nitrogen-in"), ScriptedAction(2130.0, "open-valve")),
    ),
    replace(
        _WET_CIRCUIT,
        name="cold",
        about="a cold workshop: hardly anything boils, which proves nothing",
        temperature_c=3.0,
        bursts=BurstLaw(rate_per_s=1 / 240, scale_s=3000.0, size_ug=60.0),
        gauge=GaugeModel(has_temperature=True),
        duration_s=3600.0,
    ),
    replace(
        _WET_CIRCUIT,
        name="isolations",
        about="the valve is closed for three minutes now and then, as proof on the way",
        script=tuple(
            ScriptedAction(at_s + wait_s, action)
            for at_s in (1500.0, 3000.0, 4500.0, 6000.0)
            for wait_s, action in ((0.0, "close-valve"), (180.0, "open-valve"))
        ),
    ),
    _HOLD,
    replace(
        _HOLD,
        name="hold-leak",
        about="a standing test with a leak, and no more degassing than hoses give",
        outgassing=_HOSES,
        leak_pa_m3_s=3e-4,
    ),
    replace(
        _HOLD,
        name="hold-vapour",
        about="a standing test with vapour still leaving the oil: it levels off",
        outgassing=_STUBBORN,
    ),
    replace(
        _HOLD,
        name="hold-both",
        about="a standing test with a leak and vapour together",
        outgassing=_STUBBORN,
        leak_pa_m3_s=2.5e-4,
    ),
    replace(
        _WET_CIRCUIT,
        name="glitches",
        about="a bad line: wild and stuck readings, silences, uneven sampling",
        gauge=GaugeModel(
            glitches_per_h=40.0, stucks_per_h=6.0, gaps_per_h=4.0, gap_s=30.0, jitter=0.6
        ),
    ),
    _DEMO_CIRCUIT,
    replace(
        _DEMO_CIRCUIT,
        name="demo-scripted",
        about="the demo, closing its valve by itself",
        script=(ScriptedAction(5460.0, "close-valve"), ScriptedAction(5490.0, "pump-off")),
        duration_s=6420.0,
    ),
)
SCENARIOS: dict[str, Scenario] = {scenario.name: scenario for scenario in _ALL}


def scenario_named(name: str) -> Scenario:
    """Look a scenario up.

    Raises
    ------
    KeyError
        If there is none of that name; the text lists those there are.
    """
    if name not in SCENARIOS:
        raise KeyError(f"unknown scenario {name!r}; known: {', '.join(SCENARIOS)}")
    return SCENARIOS[name]

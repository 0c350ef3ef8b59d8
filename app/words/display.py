"""Numbers as people read them: pressure in the user's unit, times, temperatures."""

from sensors.units import PA_PER_UNIT

UNIT_SYMBOLS = {
    "pa": "Pa",
    "hpa": "hPa",
    "kpa": "kPa",
    "mbar": "mbar",
    "torr": "Torr",
    "mtorr": "mTorr",
    "micron": "micron",
    "inhg": "inHg abs.",
}

NO_BREAK = "\u00a0"  # thousands stay on one line; unlike thinner gaps every terminal has it
MINUTE_S = 60.0
HOUR_S = 3600.0
LITRE_M3 = 1e-3


def pressure(value_pa: float, unit: str = "micron") -> str:
    """Write a pressure with three meaningful digits and its unit.

    Examples
    --------
    >>> pressure(66.66)
    '500 micron'
    >>> pressure(101325.0).replace(NO_BREAK, " ")
    '760 000 micron'
    """
    return f"{number(value_pa / PA_PER_UNIT[unit])} {UNIT_SYMBOLS[unit]}"


def rate(value_pa_s: float, unit: str = "micron") -> str:
    """Write a rate of rise per minute, the time technicians think in.

    Examples
    --------
    >>> rate(0.0222)
    '9.99 micron/min'
    """
    return f"{number(value_pa_s * MINUTE_S / PA_PER_UNIT[unit])} {UNIT_SYMBOLS[unit]}/min"


def throughput(value_pa_m3_s: float) -> str:
    """Write a gas load or a leak's throughput as the trade does, with an exponent when small.

    Examples
    --------
    >>> throughput(2.222e-4), throughput(6.07e-7), throughput(-6.07e-7)
    ('0.00222 mbar L/s', '6.07e-6 mbar L/s', '-6.07e-6 mbar L/s')
    """
    value = value_pa_m3_s * 10.0
    if 0.0 < abs(value) < 1e-3:
        digits, _, power = f"{value:.2e}".partition("e")
        return f"{digits}e{int(power)} mbar L/s"
    return f"{number(value)} mbar L/s"


def high_pressure(value_pa: float) -> str:
    """Write a pressure test's pressure, absolute, in bar: micron would have seven digits.

    Examples
    --------
    >>> high_pressure(1.1e6), high_pressure(1234.0)
    ('11 bar', '0.0123 bar')
    """
    return f"{number(value_pa / 1e5)} bar"


def grams(mass_kg: float) -> str:
    r"""Write what was weighed in, in grams and as finely as a scale shows it.

    Examples
    --------
    >>> grams(1.255), grams(0.0625), grams(0.55)
    ('1\xa0255', '62.5', '550')
    """
    return f"{1000.0 * mass_kg:,.1f}".removesuffix(".0").replace(",", NO_BREAK)


def litres(volume_m3: float) -> str:
    """Write a volume in litres.

    Examples
    --------
    >>> litres(0.0024)
    '2.4'
    """
    return number(volume_m3 / LITRE_M3)


def share(value: float) -> str:
    """Write a share of a whole.

    Examples
    --------
    >>> share(0.204), share(0.001)
    ('20 %', 'under 1 %')
    """
    if 0.0 < value < 0.005:
        return "under 1 %"
    return f"{100.0 * value:.0f} %"


def number(value: float) -> str:
    r"""Write three meaningful digits, thousands set apart by a gap, no exponent until tiny.

    Examples
    --------
    >>> number(0.01234), number(12.34), number(1234.0), number(999.9), number(0.0)
    ('0.0123', '12.3', '1\xa0230', '1\xa0000', '0')
    """
    if value == 0.0:
        return "0"
    rounded = float(f"{value:.3g}")
    text = f"{rounded:.10f}".rstrip("0").rstrip(".")
    if text in ("0", "-0"):
        return f"{value:.2g}"
    whole, dot, part = text.partition(".")
    return f"{int(whole):,}".replace(",", NO_BREAK) + dot + part if abs(rounded) >= 1000 else text


def rough(value: float) -> str:
    """Write two meaningful digits.

    Examples
    --------
    >>> rough(0.01234), rough(1.05)
    ('0.012', '1.1')
    """
    return number(float(f"{value:.2g}"))


def duration(value_s: float) -> str:
    """Write a time span the way one would say it.

    Examples
    --------
    >>> duration(38.2), duration(250), duration(3000), duration(7500)
    ('38 s', '4 min 10 s', '50 min', '2 h 05 min')
    """
    value_s = abs(value_s)
    if value_s < 10:
        return f"{value_s:.2g} s"
    if value_s < 120:
        return f"{value_s:.0f} s"
    if value_s < 600:
        minutes, seconds = divmod(round(value_s), 60)
        return f"{minutes} min {seconds:02d} s" if seconds else f"{minutes} min"
    if value_s < 2 * HOUR_S:
        return f"{value_s / MINUTE_S:.0f} min"
    hours, minutes = divmod(round(value_s / MINUTE_S), 60)
    return f"{hours} h {minutes:02d} min"


def about(value_s: float) -> str:
    """Write a time span as roughly as a forecast is known.

    Examples
    --------
    >>> about(38.2), about(526), about(2130), about(7900)
    ('40 s', '9 min', '35 min', '2 h 10 min')
    """
    value_s = abs(value_s)
    for up_to_s, step_s in ((90.0, 10.0), (1200.0, 60.0), (7200.0, 300.0)):
        if value_s < up_to_s:
            return duration(max(round(value_s / step_s), 1) * step_s)
    return duration(round(value_s / 600.0) * 600.0)


def clock(value_s: float) -> str:
    """Write a time since the start as hours, minutes and seconds.

    Examples
    --------
    >>> clock(3725.9)
    '1:02:05'
    """
    minutes, seconds = divmod(int(value_s), 60)
    return f"{minutes // 60}:{minutes % 60:02d}:{seconds:02d}"


def temperature(value_c: float) -> str:
    """Write a temperature.

    Examples
    --------
    >>> temperature(-12.34)
    '-12.3 °C'
    """
    return f"{value_c:.1f} °C"


def by_suffix(key: str, value: float, unit: str = "micron") -> str:
    """Write an SI number by the unit in its name.

    Examples
    --------
    >>> by_suffix("rise_pa", 13.33), by_suffix("quiet_s", 1800), by_suffix("bursts", 3)
    ('100 micron', '30 min', '3')
    """
    if key.endswith("_pa_m3_s"):
        return throughput(value)
    if key.endswith("_test_pa"):
        return high_pressure(value)
    if key == "share" or key.endswith("_share"):
        return share(value)
    for suffix, write in (("_pa_s", rate), ("_pa", pressure)):
        if key.endswith(suffix):
            return write(value, unit)
    if key.endswith("_c"):
        return temperature(value)
    if key.endswith("_s"):
        return duration(value)
    return number(value)

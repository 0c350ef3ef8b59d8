"""What a receiver makes of bytes sent at another speed: 8 data bits, no parity, 1 stop bit."""

_IDLE = 1


def line_levels(data: bytes) -> list[int]:
    """Levels on the wire, one a bit time of the sender, with a little idle line around."""
    levels = [_IDLE] * 20
    for byte in data:
        levels += [0, *((byte >> bit) & 1 for bit in range(8)), 1]
    return levels + [_IDLE] * 20


def received(data: bytes, *, sent_baud: int, read_baud: int) -> bytes:
    """Sample the wire in the middle of each of the receiver's bits, from each falling edge on.

    A byte without a stop bit where one should be (a framing error) is passed on all the same, as
    common converters do.
    """
    levels = line_levels(data)
    bit = sent_baud / read_baud  # the receiver's bit time, in the sender's

    def level(at: float) -> int:
        return levels[int(at)] if at < len(levels) else _IDLE

    out, at = bytearray(), 0.0
    while at < len(levels):
        if level(at) == 1:
            at = int(at) + 1  # levels change only there
            continue
        out.append(sum(level(at + (1.5 + n) * bit) << n for n in range(8)))
        at += 9.5 * bit
        while at < len(levels) and level(at) == 0:  # the line has to be idle before a new start
            at = int(at) + 1
    return bytes(out)

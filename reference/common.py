"""What the scripts share: the random numbers that the Rust tests draw as well, and the way floats are written."""


class Random:
    """Knuth's 64-bit linear congruential generator (MMIX), upper 31 bits. The Rust tests have the same four lines."""

    def __init__(self, seed):
        self.state = seed

    def below(self, bound):
        self.state = (self.state * 6364136223846793005 + 1442695040888963407) % 2**64
        return (self.state >> 33) % bound


def number(value):
    return f"{value:.12g}"


def table(header, rows):
    lines = [",".join(header)]
    lines += [",".join(cell if isinstance(cell, str) else str(cell) for cell in row) for row in rows]
    return "\n".join(lines) + "\n"

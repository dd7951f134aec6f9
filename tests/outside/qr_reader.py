"""A reader of two-dimensional codes, written from the standard (ISO/IEC 18004) alone, to hold ours against.

It reads what a camera would after it has found the grid: format, mask, the way of the codewords, their blocks, the bytes.
It repairs nothing: a single wrong module in the data or its check words is an error.
"""

from collections.abc import Sequence

# Standard, table 9, by level and version: check words for each block, how many blocks, and how many data words in each.
BLOCKS = {
    "M": {1: (10, 1, 16), 2: (16, 1, 28), 3: (26, 1, 44), 4: (18, 2, 32), 5: (24, 2, 43), 6: (16, 4, 27)},
    "Q": {1: (13, 1, 13), 2: (22, 1, 22), 3: (18, 2, 17), 4: (26, 2, 24), 6: (24, 4, 19)},
    "H": {1: (17, 1, 9), 2: (28, 1, 16), 3: (22, 2, 13), 4: (16, 4, 9), 6: (28, 4, 15)},
}
LEVELS = {0b00: "M", 0b11: "Q", 0b10: "H"}
FORMAT_MASK, FORMAT_GENERATOR = 0b101010000010010, 0b10100110111
MASKS = (
    lambda i, j: (i + j) % 2 == 0,
    lambda i, j: i % 2 == 0,
    lambda i, j: j % 3 == 0,
    lambda i, j: (i + j) % 3 == 0,
    lambda i, j: (i // 2 + j // 3) % 2 == 0,
    lambda i, j: (i * j) % 2 + (i * j) % 3 == 0,
    lambda i, j: ((i * j) % 2 + (i * j) % 3) % 2 == 0,
    lambda i, j: ((i + j) % 2 + (i * j) % 3) % 2 == 0,
)


def read(grid: Sequence[Sequence[bool]]) -> str:
    """Return the text of a code of level M or better without its white margin; raise ValueError where anything is wrong."""
    size = len(grid)
    version = (size - 17) // 4
    if any(len(row) != size for row in grid) or version not in BLOCKS["M"]:
        raise ValueError("not a code of versions 1 to 6")
    for top, left in ((0, 0), (0, size - 7), (size - 7, 0)):
        _check_finder(grid, top, left)
    level, mask = _format(grid)
    if version not in BLOCKS.get(LEVELS.get(level, ""), {}):
        raise ValueError("a level that is too low, or blocks of two lengths")
    words = _codewords(grid, size, version, MASKS[mask])
    return _text(_blocks(words, *BLOCKS[LEVELS[level]][version]))


def _check_finder(grid: Sequence[Sequence[bool]], top: int, left: int) -> None:
    for i in range(7):
        for j in range(7):
            ring = max(abs(i - 3), abs(j - 3))
            if grid[top + i][left + j] != (ring != 2):
                raise ValueError("a finder is broken")


def _format(grid: Sequence[Sequence[bool]]) -> tuple[int, int]:
    size = len(grid)
    first = [(8, j) for j in (0, 1, 2, 3, 4, 5, 7, 8)] + [(i, 8) for i in (7, 5, 4, 3, 2, 1, 0)]
    second = [(size - 1 - i, 8) for i in range(7)] + [(8, size - 8 + j) for j in range(8)]
    values = {sum(grid[i][j] << (14 - at) for at, (i, j) in enumerate(places)) for places in (first, second)}
    if len(values) != 1:
        raise ValueError("the two formats differ")
    value = values.pop() ^ FORMAT_MASK
    rest = value
    for bit in range(14, 9, -1):
        if rest >> bit & 1:
            rest ^= FORMAT_GENERATOR << (bit - 10)
    if rest:
        raise ValueError("the format is damaged")
    return value >> 13, value >> 10 & 0b111


def _is_data(i: int, j: int, size: int, version: int) -> bool:
    if (i < 9 and j < 9) or (i < 9 and j >= size - 8) or (i >= size - 8 and j < 9):
        return False
    if i == 6 or j == 6:
        return False
    centre = size - 7
    return version == 1 or not (abs(i - centre) <= 2 and abs(j - centre) <= 2)


def _codewords(grid, size: int, version: int, masked) -> list[int]:
    bits, up, right = [], True, size - 1
    while right > 0:
        if right == 6:
            right -= 1
        for step in range(size):
            i = size - 1 - step if up else step
            for j in (right, right - 1):
                if _is_data(i, j, size, version):
                    bits.append(bool(grid[i][j]) != masked(i, j))
        up, right = not up, right - 2
    return [sum(bit << (7 - at) for at, bit in enumerate(bits[start : start + 8])) for start in range(0, len(bits) - 7, 8)]


def _blocks(words: list[int], check: int, count: int, length: int) -> list[int]:
    data = [words[at : length * count : count] for at in range(count)]
    checks = [words[length * count + at : (length + check) * count : count] for at in range(count)]
    for block, end in zip(data, checks, strict=True):
        if any(_at_power([*block, *end], power) for power in range(check)):
            raise ValueError("the check words do not fit the data")
    return [word for block in data for word in block]


def _at_power(polynomial: list[int], power: int) -> int:
    """Evaluate a polynomial over the field of 256 at a power of two; nought at each root of the generator."""
    x = 1
    for _ in range(power):
        x = _times(x, 2)
    value = 0
    for word in polynomial:
        value = _times(value, x) ^ word
    return value


def _times(a: int, b: int) -> int:
    product = 0
    while b:
        product ^= a if b & 1 else 0
        a = (a << 1) ^ (0x11D if a & 0x80 else 0)
        b >>= 1
    return product


def _text(words: list[int]) -> str:
    bits = "".join(f"{word:08b}" for word in words)
    if bits[:4] != "0100":
        raise ValueError("not in bytes")
    length = int(bits[4:12], 2)
    return bytes(int(bits[12 + 8 * at : 20 + 8 * at], 2) for at in range(length)).decode("latin-1")

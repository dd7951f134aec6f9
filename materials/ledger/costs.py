"""What a line is worth, and what its book comes to after it; the rules are those of `materials.valuing`."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from itertools import chain

from django.db.models import Min

from materials.models import CostLayer, Material, Movement, StockBook
from materials.valuing.layers import Layer, Taken, take, value_of
from materials.valuing.money import per_kg
from materials.valuing.pool import IN_FRONT, INCOMING, Way, average_out, average_undo_in, found_value

LAYERS_AT_ONCE = 16


@dataclass(frozen=True, slots=True, kw_only=True)
class Costed:
    """The change of value, what a kilogram of it costs, and the layers it takes from."""

    change: Decimal
    per_kg: Decimal
    taken: tuple[Taken, ...] = ()


def cost_of(
    book: StockBook, *, way: Way, mass_g: Decimal, value: Decimal, lot_per_kg: Decimal, undoes: Movement | None
) -> Costed:
    """Work out what moves in a locked book; `mass_g` is above nought, `value` what the line carries itself."""
    if way in INCOMING:
        if way is Way.FOUND:
            value = found_value(on_hand_g=book.on_hand_g, value=book.value, mass_g=mass_g, lot_per_kg=lot_per_kg)
        return Costed(change=value, per_kg=per_kg(value, mass_g))
    if book.method == Material.CostMethod.FIFO:
        own = undoes if way is Way.UNDO_IN else None
        taken = tuple(take(_layers(book, own_of=own), mass_g))
        gone = value_of(taken)
        return Costed(change=-gone, per_kg=per_kg(gone, mass_g), taken=taken)
    if way is Way.UNDO_IN:
        gone = average_undo_in(on_hand_g=book.on_hand_g, value=book.value, mass_g=mass_g, came_at=value)
        return Costed(change=-gone, per_kg=per_kg(gone, mass_g))
    gone = average_out(on_hand_g=book.on_hand_g, value=book.value, mass_g=mass_g)
    # The mean itself, not the rounded value over a small mass.
    return Costed(change=-gone, per_kg=per_kg(book.value, book.on_hand_g))


def enter(book: StockBook, line: Movement, costed: Costed, *, used_g: Decimal, used_value: Decimal) -> None:
    """Bring a locked book to what it comes to after a line, and write that on the line."""
    for one in costed.taken:
        layer = CostLayer.objects.filter(pk=one.layer.row or 0)
        if one.left_g > 0:
            layer.update(mass_g=one.left_g, value=one.left_value)
        else:
            layer.delete()
    book.on_hand_g += line.mass_g
    book.value += costed.change
    book.used_g += used_g
    book.used_value += used_value
    book.moved_at = line.happened_at
    StockBook.objects.filter(pk=book.pk).update(
        on_hand_g=book.on_hand_g, value=book.value, used_g=book.used_g, used_value=book.used_value, moved_at=book.moved_at
    )
    line.book = book
    line.book_g, line.book_value = book.on_hand_g, book.value
    line.book_used_g, line.book_used_value = book.used_g, book.used_value


def lay(book: StockBook, line: Movement, *, way: Way) -> None:
    """Put down the layer that a written line brought, where the first in goes out first."""
    if book.method != Material.CostMethod.FIFO or way not in INCOMING:
        return
    place = line.pk
    if way in IN_FRONT:
        first = CostLayer.objects.filter(book=book).aggregate(first=Min("place"))["first"]
        place = line.pk if first is None else min(first - 1, line.pk)
    CostLayer.objects.create(book=book, place=place, line=line, mass_g=line.mass_g, value=line.value)


def _layers(book: StockBook, *, own_of: Movement | None) -> Iterator[Layer]:
    """Read layers from the front, a few at a time: most uses end within the first."""
    rows = CostLayer.objects.filter(book=book).order_by("place")
    own = [_layer(row) for row in rows.filter(line=own_of)] if own_of is not None else []
    others = rows.exclude(line=own_of) if own_of is not None else rows

    def rest() -> Iterator[Layer]:
        after: int | None = None
        while True:
            some = list((others if after is None else others.filter(place__gt=after))[:LAYERS_AT_ONCE])
            yield from (_layer(row) for row in some)
            if len(some) < LAYERS_AT_ONCE:
                return
            after = some[-1].place

    return chain(own, rest())


def _layer(row: CostLayer) -> Layer:
    return Layer(mass_g=row.mass_g, value=row.value, name=row.line_id, row=row.pk)

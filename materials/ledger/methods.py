"""How a material's use is costed: chosen by the studio, from the next line on."""

from django.db import transaction

from materials.ledger.patience import patiently
from materials.models import CostLayer, CostMethodChosen, Material, Movement, StockBook
from studio.models import Account


def choose_cost_method(*, material: Material, method: Material.CostMethod, by: Account | None) -> bool:
    """Cost a material another way from now on; the stock is carried over at its worth in the books. False: it was so already."""
    return patiently(lambda: _chosen(material, Material.CostMethod(method), by))


@transaction.atomic
def _chosen(material: Material, method: Material.CostMethod, by: Account | None) -> bool:
    held = Material.objects.select_for_update().get(pk=material.pk)
    if held.cost_method == method:
        return False
    Material.objects.filter(pk=material.pk).update(cost_method=method)
    material.cost_method = method
    for book in StockBook.objects.select_for_update().filter(material=material).order_by("pk"):
        CostLayer.objects.filter(book=book).delete()
        if method == Material.CostMethod.FIFO and book.on_hand_g > 0:
            last = Movement.objects.filter(book=book).order_by("-pk").values_list("pk", flat=True).first()
            CostLayer.objects.create(book=book, place=last or 0, mass_g=book.on_hand_g, value=book.value)
        StockBook.objects.filter(pk=book.pk).update(method=method)
    CostMethodChosen.objects.create(material=material, method=method, chosen_by=by)
    return True

"""Addresses of the materials app, under /stock/."""

from django.urls import path

from materials.views import deliveries, entries, lots, materials, packs, scrap, shelf

app_name = "materials"
urlpatterns = [
    path("", shelf.stock_show, name="stock_show"),
    path("materials/", materials.materials_list, name="materials_list"),
    path("materials/add/", materials.material_add, name="material_add"),
    path("materials/starter-catalogue/", materials.catalogue_load, name="catalogue_load"),
    path("materials/<int:pk>/", materials.material_show, name="material_show"),
    path("materials/<int:pk>/change/", materials.material_change, name="material_change"),
    path("materials/<int:pk>/retire/", materials.material_retire, name="material_retire"),
    path("materials/<int:pk>/bring-back/", materials.material_return, name="material_return"),
    path("materials/<int:pk>/packs/add/", packs.pack_add, name="pack_add"),
    path("packs/<int:pk>/", packs.pack_change, name="pack_change"),
    path("packs/<int:pk>/remove/", packs.pack_remove, name="pack_remove"),
    path("deliveries/", deliveries.delivery_choose, name="delivery_choose"),
    path("deliveries/<int:pk>/", deliveries.delivery_receive, name="delivery_receive"),
    path("lots/<int:pk>/", lots.lot_show, name="lot_show"),
    path("lots/<int:pk>/change/", lots.lot_change, name="lot_change"),
    path("lots/<int:pk>/use/", entries.lot_use, name="lot_use"),
    path("lots/<int:pk>/put-back/", entries.lot_return, name="lot_return"),
    path("lots/<int:pk>/count/", entries.lot_count, name="lot_count"),
    path("lots/<int:pk>/throw-away/", entries.lot_discard, name="lot_discard"),
    path("lots/<int:pk>/release/", entries.lot_release, name="lot_release"),
    path("lots/<int:pk>/open/", lots.lot_open, name="lot_open"),
    path("lots/<int:pk>/move/", lots.lot_move, name="lot_move"),
    path("lots/<int:pk>/set-aside/", lots.lot_set_aside, name="lot_set_aside"),
    path("lots/<int:pk>/take-back/", lots.lot_take_back, name="lot_take_back"),
    path("lines/<int:pk>/undo/", entries.line_undo, name="line_undo"),
    path("scrap/", scrap.scrap_list, name="scrap_list"),
    path("scrap/add/", scrap.scrap_add, name="scrap_add"),
    path("scrap/<int:pk>/", scrap.scrap_show, name="scrap_show"),
    path("scrap/<int:pk>/change/", scrap.scrap_change, name="scrap_change"),
    path("scrap/<int:pk>/use/", entries.scrap_use, name="scrap_use"),
    path("scrap/<int:pk>/release/", entries.scrap_release, name="scrap_release"),
    path("scrap/<int:pk>/fill/", entries.scrap_fill, name="scrap_fill"),
    path("scrap/<int:pk>/count/", entries.scrap_count, name="scrap_count"),
    path("scrap/<int:pk>/throw-away/", entries.scrap_discard, name="scrap_discard"),
]

"""Addresses of the costing app."""

from django.urls import URLPattern, path

from costing.views import freeze, price, quotes

app_name = "costing"
urlpatterns: list[URLPattern] = [
    path("jobs/<int:number>/price/", price.price_show, name="price_show"),
    path("jobs/<int:number>/price/try/", price.price_try, name="price_try"),
    path("jobs/<int:number>/price/keep/", price.price_keep, name="price_keep"),
    path("jobs/<int:number>/price/back/", price.price_back, name="price_back"),
    path("jobs/<int:number>/quote/", freeze.quote_freeze, name="quote_freeze"),
    path("jobs/<int:number>/quote/try/", freeze.quote_try, name="quote_try"),
    path("quotes/", quotes.quotes_list, name="quotes_list"),
    path("quotes/<int:number>/", quotes.quote_show, name="quote_show"),
    path("quotes/<int:number>/<int:version>/", quotes.quote_show, name="quote_show"),
    path("quotes/<int:number>/<int:version>/move/", quotes.quote_move, name="quote_move"),
    path("quotes/<int:number>/<int:version>/print/", quotes.quote_print, name="quote_print"),
]

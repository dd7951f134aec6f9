"""Addresses of the costing app."""

from django.urls import URLPattern, path

from costing.views import after, alternatives, client, freeze, links, options, price, quotes, ubl

app_name = "costing"
urlpatterns: list[URLPattern] = [
    path("jobs/<int:number>/price/", price.price_show, name="price_show"),
    path("jobs/<int:number>/price/try/", price.price_try, name="price_try"),
    path("jobs/<int:number>/price/keep/", price.price_keep, name="price_keep"),
    path("jobs/<int:number>/price/back/", price.price_back, name="price_back"),
    path("jobs/<int:number>/alternatives/", alternatives.alternatives_show, name="alternatives_show"),
    path("jobs/<int:number>/alternatives/take/", alternatives.alternative_take, name="alternative_take"),
    path("jobs/<int:number>/alternatives/back/", alternatives.alternatives_back, name="alternatives_back"),
    path("jobs/<int:number>/alternatives/copies/keep/", alternatives.copy_keep, name="copy_keep"),
    path("jobs/<int:number>/alternatives/copies/remove/", alternatives.copy_remove, name="copy_remove"),
    path("jobs/<int:number>/alternatives/copies/back/", alternatives.copy_back, name="copy_back"),
    path("jobs/<int:number>/quote/", freeze.quote_freeze, name="quote_freeze"),
    path("jobs/<int:number>/quote/try/", freeze.quote_try, name="quote_try"),
    path("jobs/<int:number>/quote/draft/", freeze.quote_draft, name="quote_draft"),
    path("jobs/<int:number>/options/", options.options_show, name="options_show"),
    path("jobs/<int:number>/options/add/", options.option_add, name="option_add"),
    path("jobs/<int:number>/options/back/", options.options_back, name="options_back"),
    path("jobs/<int:number>/options/<int:pk>/", options.option_change, name="option_change"),
    path("jobs/<int:number>/options/<int:pk>/move/", options.option_move, name="option_move"),
    path("jobs/<int:number>/options/<int:pk>/remove/", options.option_remove, name="option_remove"),
    path("jobs/<int:number>/after/", after.after_show, name="after_show"),
    path("jobs/<int:number>/after/minutes/", after.after_minutes, name="after_minutes"),
    path("jobs/<int:number>/after/work/", after.after_work, name="after_work"),
    path("jobs/<int:number>/after/castings/", after.after_castings, name="after_castings"),
    path("jobs/<int:number>/after/spend/", after.after_spend, name="after_spend"),
    path("jobs/<int:number>/after/line/", after.after_line, name="after_line"),
    path("quotes/", quotes.quotes_list, name="quotes_list"),
    path("quotes/<int:number>/", quotes.quote_show, name="quote_show"),
    path("quotes/<int:number>/<int:version>/", quotes.quote_show, name="quote_show"),
    path("quotes/<int:number>/<int:version>/move/", quotes.quote_move, name="quote_move"),
    path("quotes/<int:number>/<int:version>/print/", quotes.quote_print, name="quote_print"),
    path("quotes/<int:number>/<int:version>/quotation.xml", ubl.quote_ubl, name="quote_ubl"),
    path("quotes/<int:number>/<int:version>/link/", links.quote_link_make, name="quote_link_make"),
    path("quotes/<int:number>/<int:version>/link/revoke/", links.quote_link_revoke, name="quote_link_revoke"),
    path("q/<str:token>/", client.client_quote, name="client_quote"),
    path("q/<str:token>/print/", client.client_print, name="client_print"),
    path("q/<str:token>/logo/", client.client_logo, name="client_logo"),
]

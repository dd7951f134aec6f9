"""Addresses of the studio's own pages: home, accounts, profile, people, stations, rates, documents."""

from django.urls import URLPattern, URLResolver, include, path

app_name = "studio"
urlpatterns: list[URLPattern | URLResolver] = [
    path("", include("studio.document_urls")),
]

"""Addresses of the studio's own pages: home, accounts, profile, people, stations, rates, documents."""

from django.urls import URLPattern

app_name = "studio"
urlpatterns: list[URLPattern] = []

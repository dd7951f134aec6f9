"""Addresses of the costing app."""

from django.urls import URLPattern

app_name = "costing"
urlpatterns: list[URLPattern] = []

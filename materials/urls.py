"""Addresses of the materials app."""

from django.urls import URLPattern

app_name = "materials"
urlpatterns: list[URLPattern] = []

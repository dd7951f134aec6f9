"""Addresses of the jobs app."""

from django.urls import URLPattern

app_name = "jobs"
urlpatterns: list[URLPattern] = []

"""Every address of the app."""

from django.urls import include, path

urlpatterns = [
    path("", include("studio.web_urls")),
    path("stock/", include("materials.urls")),
    path("", include("jobs.urls")),
    path("", include("costing.urls")),
]

"""Addresses of documents and of the health check; part of the studio's namespace."""

from django.urls import path

from studio.views import documents, health

urlpatterns = [
    path("health/", health.health, name="health"),
    path("documents/<uuid:public_id>/", documents.documents_status, name="documents_status"),
    path("documents/<uuid:public_id>/download/", documents.documents_download, name="documents_download"),
    path("documents/<uuid:public_id>/retry/", documents.documents_retry, name="documents_retry"),
]

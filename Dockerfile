# One image for the web server, the workers and the scheduler; docker-compose.yml says which is which.
FROM python:3.12-slim-bookworm

ENV PYTHONUNBUFFERED=1 \
    PYTHONDONTWRITEBYTECODE=1 \
    PIP_NO_CACHE_DIR=1 \
    DJANGO_SETTINGS_MODULE=studio.settings.base \
    HANDLAID_DATA=/data

# What page layout (PDF) opens at run time.
RUN apt-get update -qq \
    && apt-get install -y -qq --no-install-recommends libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0 \
    && rm -rf /var/lib/apt/lists/*

WORKDIR /app
COPY requirements.lock ./
RUN pip install --disable-pip-version-check --require-hashes --only-binary :all: -r requirements.lock

COPY . .
RUN python -m compileall -q studio materials jobs costing \
    && useradd --system --uid 10001 --home-dir /data studio \
    && install -d -o studio -g studio /data

USER studio
VOLUME /data
EXPOSE 8000
CMD ["gunicorn", "studio.wsgi:application", "--bind", "0.0.0.0:8000", "--worker-class", "gthread", "--workers", "2", \
     "--threads", "8", "--timeout", "60", "--graceful-timeout", "8", "--no-control-socket"]

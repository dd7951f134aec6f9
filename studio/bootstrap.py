"""Set the machine up before anything else is installed; standard library only for that reason."""

import os
import secrets
from pathlib import Path


def secret_key(data_dir: Path) -> str:
    """Return this installation's secret key, made once and readable by its owner only."""
    path = data_dir / "secret_key"
    if not path.exists():
        data_dir.mkdir(parents=True, exist_ok=True)
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w") as file:
            file.write(secrets.token_urlsafe(64))
    return path.read_text()

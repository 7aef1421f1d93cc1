"""Start the advisor: ``python -m webapp``."""

from __future__ import annotations

import os
import sys
import threading

# Many small matrices: threads of the linear algebra library cost more than they bring. Read when numpy is imported.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from waitress import serve  # type: ignore[import-untyped]

from webapp import create_app
from webapp.advice.places import preload
from webapp.config import Config
from webapp.errors import CatalogueError


def main() -> int:
    """Serve on this machine until stopped; say the address, or what is wrong, in plain lines."""
    try:
        config = Config.from_environment()
        app = create_app(config)
    except (CatalogueError, ValueError) as refusal:
        sys.stderr.write(f"The advisor cannot start:\n{refusal}\n")
        return 2
    threading.Thread(target=preload, daemon=True).start()
    sys.stdout.write(f"Coat and Filling is at http://{config.host}:{config.port}/ (stop with Ctrl+C)\n")
    sys.stdout.flush()
    serve(app, host=config.host, port=config.port, threads=4, max_request_body_size=1024 * 1024)
    return 0


if __name__ == "__main__":
    sys.exit(main())

"""A frosting selection advisor: which coat, which filling, and will it hold."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Flask
from jinja2 import StrictUndefined

if TYPE_CHECKING:
    from webapp.catalogue.model import Catalogue
    from webapp.config import Config
    from webapp.pages.advisor import Advisor


def create_app(
    config: Config | None = None, catalogue: Catalogue | None = None, advise_as: Advisor | None = None
) -> Flask:
    """Build the whole application; data are read and checked here, once.

    Parameters
    ----------
    config : Config, optional
        Where things are; read from the environment if left out.
    catalogue : Catalogue, optional
        A checked catalogue; loaded from ``config.data_dir`` if left out.
    advise_as : Advisor, optional
        The use case from brief to advice; bound to the catalogue if left out.

    Raises
    ------
    CatalogueError
        If the data files cannot be used, with every fault found.
    StartRefused
        If others could reach the advisor and it is not made ready for that.
    """
    from webapp import pages
    from webapp.advice.service import Advisor as Service
    from webapp.catalogue.loader import load_catalogue
    from webapp.config import Config
    from webapp.pages.guarded_app import GuardedApp, refuse_unready
    from webapp.pages.shop import RecordsOnDemand
    from webapp.pages.shop_advice import ShopAdvice

    config = config or Config.from_environment()
    catalogue = catalogue or load_catalogue(config.data_dir)
    service = Service(catalogue)
    app = GuardedApp(__name__, template_folder=config.templates_dir, static_folder=config.static_dir)
    app.jinja_env.undefined = StrictUndefined
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
    app.extensions["config"] = config
    app.extensions["records"] = RecordsOnDemand(config)
    app.extensions["catalogue"] = catalogue
    app.extensions["service"] = service
    app.extensions["shop advice"] = of_shop = ShopAdvice(service, app)
    app.extensions["advisor"] = advise_as or of_shop
    app.extensions["mapper"] = of_shop.draw
    pages.init_app(app)
    refuse_unready(app)
    return app

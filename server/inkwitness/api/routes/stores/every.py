"""The routes of this folder, together."""

from fastapi import APIRouter

from inkwitness.api.routes.stores import bins, find, offers, stock

router = APIRouter()
for module in (stock, find, bins, offers):
    router.include_router(module.router)

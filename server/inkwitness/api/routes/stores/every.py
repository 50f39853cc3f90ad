"""The routes of this folder, together."""

from fastapi import APIRouter

from inkwitness.api.routes.stores import bins, stock

router = APIRouter()
for module in (stock, bins):
    router.include_router(module.router)

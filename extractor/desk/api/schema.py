"""The API's own description (OpenAPI 3.1), for programs and for whoever writes one."""

from fastapi import APIRouter, FastAPI
from fastapi.openapi.utils import get_openapi
from fastapi.responses import JSONResponse

from extractor.desk.api.asking import Reader

DESCRIPTION = """Everything the desk's pages do.

Sign in with `POST /api/session` and keep its cookie. Every failure has one form, `{"error": {"code", "message",
"cure"}}`. Times of words are milliseconds from the start of the case, times of what people do ISO 8601 in UTC, units
UCUM codes.
A draft until signed by the responsible clinician. It advises nothing.
"""


def description_of(app: FastAPI) -> APIRouter:
    """``/openapi.json``: what the routes of the API say of themselves."""
    router = APIRouter(tags=["description"])

    @router.get("/openapi.json", summary="This description")
    def read_description(_: Reader) -> JSONResponse:
        return JSONResponse(describe(app))

    return router


def describe(app: FastAPI) -> dict[str, object]:
    """The description, made once."""
    if app.openapi_schema is None:
        app.openapi_schema = get_openapi(
            title=app.title, version=app.version, description=DESCRIPTION, routes=app.routes
        )
    return app.openapi_schema

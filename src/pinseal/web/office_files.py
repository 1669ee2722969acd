"""A table as the answer to a request: CSV as it is made, or a workbook from a file that is gone when it was sent."""

from __future__ import annotations

import re
import tempfile
from pathlib import Path

from starlette.background import BackgroundTask
from starlette.requests import Request
from starlette.responses import FileResponse, Response, StreamingResponse

from pinseal.dates import DATE_STYLE
from pinseal.documents.tables import Table, csv_lines, write_xlsx
from pinseal.web.doors import About

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def file_answer(request: Request, table: Table, name: str, about: About) -> Response:
    """The table in the form that the address ends with: `.xlsx`, else CSV. The name of the file says the day."""
    name = f"{name}-on-{about.today.isoformat()}"
    if request.url.path.endswith(".xlsx"):
        folder = tempfile.TemporaryDirectory(prefix="pinseal-")
        file = Path(folder.name) / "table.xlsx"
        write_xlsx(table, file, date_style=DATE_STYLE.get())
        return FileResponse(file, media_type=XLSX, filename=f"{name}.xlsx", background=BackgroundTask(folder.cleanup))
    return csv_answer(table, name)


def csv_answer(table: Table, name: str) -> Response:
    """The table as CSV, sent while it is made."""
    return StreamingResponse(csv_lines(table), media_type="text/csv; charset=utf-8", headers=named("attachment", name, "csv"))


def pdf_answer(content: bytes, name: str) -> Response:
    """A paper that is shown in the browser, and has a name where it is kept."""
    plain = re.sub(r"[^A-Za-z0-9-]+", "-", name).strip("-") or "paper"
    return Response(content, media_type="application/pdf", headers=named("inline", plain, "pdf"))


def named(how: str, name: str, ending: str) -> dict[str, str]:
    """The header that gives an answer its name where it is kept; `how` is inline or attachment, `name` plain letters and hyphens."""
    return {"content-disposition": f'{how}; filename="{name}.{ending}"'}


def file_name(*parts: str) -> str:
    """A name for a file from what it is about: small plain letters and figures, joined by hyphens; what is left empty is left out.

    >>> file_name("visit", "Pier Café!", "2026-11-24")
    'visit-pier-caf-2026-11-24'
    """
    plain = (re.sub(r"[^A-Za-z0-9]+", "-", part).strip("-").lower()[:60] for part in parts)
    return "-".join(part for part in plain if part)

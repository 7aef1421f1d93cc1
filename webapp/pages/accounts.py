"""Logging in and out, one's own password, and for owners the accounts of the shop."""

from __future__ import annotations

from typing import Any

from flask import (
    Blueprint,
    Flask,
    Response,
    abort,
    current_app,
    make_response,
    redirect,
    render_template,
    request,
    url_for,
)
from werkzeug.wrappers import Response as AnyResponse
from wtforms import Form, PasswordField, SelectChoice, SelectField, StringField  # type: ignore[import-untyped]

from webapp.pages import session
from webapp.pages.guard import may
from webapp.pages.problem_texts import Shown
from webapp.pages.send_again import filled_by
from webapp.pages.session import current_visitor
from webapp.pages.shop import current_config, current_records, own_page, records_of
from webapp.pages.throttle import WINDOW_S, ShopThrottle
from webapp.records.accounts import LONGEST_PASSWORD, SHORTEST_PASSWORD
from webapp.records.errors import LastOwner, RecordRefused
from webapp.records.folding import fold
from webapp.records.model import Account, Role

ROLES: dict[Role, str] = {"staff": "Staff", "owner": "Owner"}
ROLES_HINT = "Staff use all but accounts and the shop’s settings; an owner uses these too."
LENGTHS = f"{SHORTEST_PASSWORD} to {LONGEST_PASSWORD} characters. Several words are easy to keep in mind."
TOO_OFTEN = "That was tried too often. Wait a quarter of an hour. If the password is lost, ask an owner for a new one."
NOT_TOGETHER = "This name and this password do not belong together."
NOT_SURE = "Tick that the account is to go, then remove it."
DONE = {
    "made": "The account is made.",
    "role": "The role is changed.",
    "password": "The new password counts from now on.",
    "removed": "The account is removed.",
}

blueprint = Blueprint("accounts", __name__)


class LogIn(Form):  # type: ignore[misc]
    name = StringField("Name")
    password = PasswordField("Password")


class NewAccount(Form):  # type: ignore[misc]
    name = StringField("Name")
    password = PasswordField("First password")
    role = SelectField("Role", choices=[SelectChoice(*role) for role in ROLES.items()], validate_choice=False)


class NewPassword(Form):  # type: ignore[misc]
    current = PasswordField("Current password")
    password = PasswordField("New password")


class NewRole(Form):  # type: ignore[misc]
    role = SelectField("Role", choices=[SelectChoice(*role) for role in ROLES.items()], validate_choice=False)


def _typed(name: str) -> str:
    return request.form.get(name, "")


def _page(template: str, problems: list[Shown], status: int = 422, /, **parts: Any) -> Response:
    errors = {problem.element: problem.text for problem in problems}
    texts = {"lengths": LENGTHS, "roles": ROLES, "roles_hint": ROLES_HINT}
    page = render_template(template, problems=problems, errors=errors, **texts, **parts)
    return make_response(page, status if problems else 200)


def _refused(refused: RecordRefused, form: type[Form]) -> list[Shown]:
    """Say at each field what is wrong with it, in the words of its label."""
    nouns = {field.name: str(field.label.text).lower() for field in form()}
    return [
        Shown(each.field, each.field, f"The {nouns[each.field]} {each.problem}. Allowed: {each.allowed}.")
        for each in refused.problems
    ]


@blueprint.get("/log-in")
@may("anyone")
def log_in() -> AnyResponse:
    back = own_page(request.args.get("back", "/"))
    if current_visitor().is_staff:
        return redirect(back, 303)
    return _page("log_in.html", [], form=LogIn(), back=back)


@blueprint.post("/log-in")
@may("anyone")
def check_log_in() -> AnyResponse:
    if not current_config().needs_accounts:
        return redirect("/", 303)
    back, form = own_page(request.form.get("back", "/")), LogIn(request.form)
    name, place = fold(_typed("name")[:LONGEST_PASSWORD]), request.remote_addr or ""
    filled_by(lambda told: _page("log_in.html", [told], 503, form=form, back=back))
    throttle: ShopThrottle = current_app.extensions["throttle"]
    if not throttle.admits(name, place):
        response = _page("log_in.html", [Shown("name", "name", TOO_OFTEN)], 429, form=form, back=back)
        response.headers["Retry-After"] = str(round(WINDOW_S))
        return response
    account = current_records().accounts.check(_typed("name"), _typed("password"))
    if account is None:
        return _page("log_in.html", [Shown("name", "name", NOT_TOGETHER)], form=form, back=back)
    throttle.forgive(name, place)
    session.begin(account)
    return redirect(back, 303)


@blueprint.post("/log-out")
@may("staff")
def log_out() -> AnyResponse:
    session.end()
    response = redirect(url_for("accounts.log_in"), 303)
    response.headers["Clear-Site-Data"] = '"cache"'  # or the way back would show pages once more
    return response


@blueprint.get("/password")
@may("staff")
def own_password() -> Response:
    _own_account()
    return _page("password.html", [], form=NewPassword())


@blueprint.post("/password")
@may("staff")
def set_own_password() -> AnyResponse:
    filled_by(lambda told: _page("password.html", [told], 503, form=NewPassword()))
    problems = _password_problems(_own_account())
    if problems:
        return _page("password.html", problems, form=NewPassword())
    return redirect(url_for("accounts.own_password", done="yes"), 303)


def _own_account() -> Account:
    visitor = current_visitor()
    if visitor.account_id is None:
        abort(404, "without accounts there are no passwords")
    return current_records().accounts.get(visitor.account_id)


def _password_problems(account: Account) -> list[Shown]:
    accounts, throttle = current_records().accounts, current_app.extensions["throttle"]
    place = request.remote_addr or ""
    if not throttle.admits(account.name_key, place):
        return [Shown("current", "current", TOO_OFTEN)]
    if accounts.check(account.name, _typed("current")) is None:
        return [Shown("current", "current", "This is not your current password.")]
    throttle.forgive(account.name_key, place)
    try:
        changed = accounts.set_password(account.id, _typed("password"))
    except RecordRefused as refused:
        return _refused(refused, NewPassword)
    session.begin(changed)
    return []


@blueprint.get("/accounts")
@may("owner")
def list_accounts() -> Response:
    return _list([], NewAccount())


@blueprint.post("/accounts")
@may("owner")
def add_account() -> AnyResponse:
    filled_by(lambda told: _list([told], NewAccount(request.form), 503))
    try:
        current_records().accounts.add(_typed("name"), _typed("password"), _role(_typed("role")))
    except RecordRefused as refused:
        return _list(_refused(refused, NewAccount), NewAccount(request.form))
    return redirect(url_for("accounts.list_accounts", done="made"), 303)


def _list(problems: list[Shown], form: NewAccount, status: int = 422) -> Response:
    accounts = current_records().accounts.list()
    done = "" if problems else DONE.get(request.args.get("done", ""), "")
    parts = {"form": form, "accounts": accounts, "done": done, "is_open": current_config().needs_accounts}
    return _page("accounts.html", problems, status, **parts)


def _role(text: str) -> Role:
    return next((role for role in ROLES if role == text), "staff")


@blueprint.get("/accounts/<id>")
@may("owner")
def one_account(id: str) -> Response:
    return _one(id, [])


def _one(id: str, problems: list[Shown], status: int = 422) -> Response:
    account = current_records().accounts.get(id)
    role_form = NewRole(role=_role(_typed("role")) if _typed("role") else account.role)
    return _page("account.html", problems, status, account=account, role_form=role_form, form=NewPassword())


@blueprint.post("/accounts/<id>/role")
@may("owner")
def set_role(id: str) -> AnyResponse:
    filled_by(lambda told: _one(id, [told], 503))
    try:
        current_records().accounts.set_role(id, _role(_typed("role")))
    except LastOwner as refused:
        return _one(id, [Shown("role", "role", str(refused))])
    return redirect(url_for("accounts.list_accounts", done="role"), 303)


@blueprint.post("/accounts/<id>/password")
@may("owner")
def set_password(id: str) -> AnyResponse:
    filled_by(lambda told: _one(id, [told], 503))
    try:
        changed = current_records().accounts.set_password(id, _typed("password"))
    except RecordRefused as refused:
        return _one(id, _refused(refused, NewPassword))
    if id == current_visitor().account_id:
        session.begin(changed)
    return redirect(url_for("accounts.list_accounts", done="password"), 303)


@blueprint.post("/accounts/<id>/remove")
@may("owner")
def remove_account(id: str) -> AnyResponse:
    filled_by(lambda told: _one(id, [told], 503))
    if _typed("sure") != "yes":
        return _one(id, [Shown("remove", "remove", NOT_SURE)])
    try:
        current_records().accounts.remove(id)
    except LastOwner as refused:
        return _one(id, [Shown("remove", "remove", str(refused))])
    return redirect(url_for("accounts.list_accounts", done="removed"), 303)


def init_app(app: Flask) -> None:
    app.extensions["throttle"] = ShopThrottle(lambda: records_of(app).attempts)
    app.register_blueprint(blueprint)

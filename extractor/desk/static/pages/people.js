// People and what each may do.

import { get, patch, post, told } from "../api.js";
import { byId, h, refill, say } from "../dom.js";
import "./plain.js";

const ROLES = {
  operator: "reviews and signs",
  educator: "makes teaching folders",
  auditor: "reads records and the log",
  keeper: "keeps the lexicons",
};
const place = byId("people");

show()
  .catch((error) => refill(byId("alarm"), told(error)))
  .finally(() => byId("main").removeAttribute("aria-busy"));

async function show() {
  const people = await get("/people");
  refill(
    place,
    h(
      "div",
      { class: "wide" },
      h(
        "table",
        {},
        h(
          "thead",
          {},
          h(
            "tr",
            {},
            ["Name", "Roles", "Sign-in", "New password"].map((text) => h("th", { scope: "col" }, text)),
          ),
        ),
        h("tbody", {}, people.map(row)),
      ),
    ),
    form(),
  );
}

function row({ name, roles, disabled }) {
  const change = (what) => doing(() => patch(`/people/${encodeURIComponent(name)}`, what), `${name}: kept.`);
  const password = h("input", {
    type: "password",
    autocomplete: "new-password",
    "aria-label": `New password for ${name}`,
  });
  return h(
    "tr",
    {},
    h("th", { scope: "row" }, name),
    h(
      "td",
      {},
      h(
        "fieldset",
        {},
        h("legend", { class: "unseen" }, `Roles of ${name}`),
        Object.keys(ROLES).map((role) =>
          h(
            "label",
            { class: "tick" },
            h("input", {
              type: "checkbox",
              checked: roles.includes(role),
              onchange: (event) =>
                change({
                  roles: event.target.checked ? [...roles, role] : roles.filter((each) => each !== role),
                }),
            }),
            ` ${role} `,
          ),
        ),
      ),
    ),
    h(
      "td",
      {},
      h(
        "label",
        { class: "tick" },
        h("input", {
          type: "checkbox",
          checked: !disabled,
          onchange: (event) => change({ disabled: !event.target.checked }),
        }),
        " may sign in",
      ),
    ),
    h(
      "td",
      {},
      password,
      " ",
      h("button", { type: "button", onclick: () => password.value && change({ password: password.value }) }, "Set"),
    ),
  );
}

function form() {
  const name = h("input", { name: "name", required: true, maxlength: 100, autocomplete: "off" });
  const password = h("input", { name: "password", type: "password", required: true, autocomplete: "new-password" });
  const roles = Object.entries(ROLES).map(([role, does]) =>
    h("label", { class: "tick" }, h("input", { type: "checkbox", name: "roles", value: role }), ` ${role}: ${does}`),
  );
  return h(
    "form",
    {
      class: "narrow-form",
      onsubmit: (event) => {
        event.preventDefault();
        const chosen = new FormData(event.target).getAll("roles");
        if (!chosen.length) return say("Choose at least one role.", true);
        doing(
          () => post("/people", { name: name.value.trim(), password: password.value, roles: chosen }),
          `${name.value} was added.`,
        );
      },
    },
    h("h2", {}, "Add somebody"),
    h("label", { class: "field" }, h("span", {}, "Name"), name),
    h("label", { class: "field" }, h("span", {}, "Password"), password),
    h(
      "fieldset",
      {},
      h("legend", {}, "Roles"),
      roles.map((role) => h("div", {}, role)),
    ),
    h("p", { class: "buttons" }, h("button", { class: "first" }, "Add")),
  );
}

async function doing(act, done) {
  try {
    await act();
    refill(byId("alarm"));
    say(done);
    await show();
  } catch (error) {
    say(told(error), true);
  }
}

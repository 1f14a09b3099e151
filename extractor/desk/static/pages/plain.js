// What every page has: who is at the desk, which page this is, and the way out.

import { call, get, put, told } from "../api.js";
import { ask, field } from "../dialogs.js";
import { byId, h, refill, say } from "../dom.js";

/** The person at the desk; null where nobody is signed in. */
async function frame() {
  for (const link of document.querySelectorAll("[data-nav]")) {
    if (link.dataset.nav === location.pathname) link.setAttribute("aria-current", "page");
  }
  const person = await get("/me").catch(() => null);
  if (person)
    refill(
      byId("who"),
      person.local
        ? nameButton(person)
        : [`${person.name} `, h("button", { type: "button", class: "quiet", onclick: out }, "Sign out")],
    );
  for (const link of document.querySelectorAll("[data-right]")) {
    link.hidden = Boolean(person) && !person.rights.includes(link.dataset.right);
  }
  return person;
}

async function out() {
  await call("DELETE", "/session").catch(() => {});
  location.assign("/sign-in");
}

/** Who sits at this machine says who they are: changes and signatures carry the name. */
function nameButton({ name, named }) {
  const change = async () => {
    const input = h("input", {
      name: "name",
      value: named ? name : "",
      autocomplete: "name",
      autofocus: true,
      maxlength: 200,
    });
    const answer = await ask(
      "Who is at the desk?",
      [
        field(
          "Your name",
          input,
          "Every change and signature carries it. What was done before stays under the name it was done under.",
        ),
      ],
      {
        yes: "That is me",
        check: ({ name: text }) => (text ? "" : "Write your name."),
      },
    );
    if (!answer) return;
    try {
      await put("/me", { name: answer.name });
      location.reload();
    } catch (error) {
      say(told(error), true);
    }
  };
  return h(
    "button",
    { type: "button", id: "my-name", class: named ? "quiet" : null, onclick: change },
    named ? name : "Say your name",
  );
}

export const me = frame();

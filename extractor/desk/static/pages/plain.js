// What every page has: who is signed in, which page this is, and the way out.

import { call, get } from "../api.js";
import { byId, h, refill } from "../dom.js";

/** The person at the desk; null where nobody is signed in. */
export async function frame() {
  for (const link of document.querySelectorAll("[data-nav]")) {
    if (link.dataset.nav === location.pathname) link.setAttribute("aria-current", "page");
  }
  const me = await get("/me").catch(() => null);
  if (!me) return null;
  const out = h(
    "button",
    {
      type: "button",
      class: "quiet",
      onclick: async () => {
        await call("DELETE", "/session").catch(() => {});
        location.assign("/sign-in");
      },
    },
    "Sign out",
  );
  refill(byId("who"), me.name, me.local ? null : [" ", out]);
  return me;
}

export const me = frame();

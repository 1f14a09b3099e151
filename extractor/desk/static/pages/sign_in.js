// Signing in, and on to where one wanted to go: only ever a page of this desk.

import { post, told } from "../api.js";
import { byId } from "../dom.js";

const form = byId("sign-in");

form.addEventListener("submit", async (event) => {
  event.preventDefault();
  const data = new FormData(form);
  try {
    await post("/session", { name: data.get("name"), password: data.get("password") });
    const next = new URLSearchParams(location.search).get("next") ?? "/";
    location.assign(/^\/(?![/\\])/.test(next) ? next : "/");
  } catch (error) {
    byId("fault").textContent = told(error);
    form.elements.password.select();
  }
});

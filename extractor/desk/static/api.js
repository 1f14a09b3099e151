// Talking to the desk. Everything the page knows comes through `call`.

/** What went wrong, as the desk tells it: `status` 0 where it was not reached at all. */
export class ApiError extends Error {
  /** @param {number} status @param {string} message @param {{code?: string, cure?: string, body?: any}} [more] */
  constructor(status, message, { code = "", cure = "", body = null } = {}) {
    super(message);
    this.status = status;
    this.code = code;
    this.cure = cure;
    this.body = body;
  }

  /** Whether the same request may go through later. */
  get passing() {
    return this.status === 0 || this.status === 429 || this.status >= 500;
  }
}

/**
 * One request. JSON in and out; other bodies (Blob) are sent as they are.
 * @param {string} method @param {string} path below /api @param {any} [body] @param {Record<string, string>} [headers]
 */
export async function call(method, path, body, headers = {}) {
  const raw = body instanceof Blob;
  /** @type {RequestInit} */
  const request = {
    method,
    headers: { Accept: "application/json", ...headers },
    credentials: "same-origin",
    cache: "no-store",
  };
  if (body !== undefined) {
    request.body = raw ? body : JSON.stringify(body);
    if (!raw) request.headers = { ...request.headers, "Content-Type": "application/json" };
  }
  let response;
  try {
    response = await fetch(`/api${path}`, request);
  } catch {
    throw new ApiError(0, "The desk does not answer.", {
      cure: "Is it still running? Nothing you did is lost; it is sent again.",
    });
  }
  const isJson = (response.headers.get("Content-Type") || "").includes("json");
  const answer = isJson ? await response.json().catch(() => null) : null;
  if (response.ok) return answer;
  if (response.status === 401 && !location.pathname.startsWith("/sign-in") && method === "GET") {
    location.assign(`/sign-in?next=${encodeURIComponent(location.pathname)}`);
  }
  const { message, code, cure } = answer?.error ?? {};
  throw new ApiError(response.status, message || `The desk answered ${response.status}.`, {
    code,
    cure,
    body: answer,
  });
}

export const get = (path) => call("GET", path);
export const post = (path, body = {}) => call("POST", path, body);
export const patch = (path, body) => call("PATCH", path, body);
export const put = (path, body) => call("PUT", path, body);

/** What the desk holds that is no JSON: peaks of the sound. Null where there is none. */
export async function getBytes(path) {
  const response = await fetch(`/api${path}`, { credentials: "same-origin" }).catch(() => null);
  return response?.ok ? new Uint8Array(await response.arrayBuffer()) : null;
}

/** A file that the desk makes, and the name it gives it. @param {string} address */
export async function download(address) {
  const response = await fetch(address, { credentials: "same-origin" }).catch(() => null);
  if (!response) throw new ApiError(0, "The desk does not answer.");
  if (!response.ok) {
    const { error } = await response.json().catch(() => ({}));
    throw new ApiError(response.status, error?.message || `The desk answered ${response.status}.`, error ?? {});
  }
  const name = /filename="([^"]+)"/.exec(response.headers.get("Content-Disposition") ?? "")?.[1] ?? "file";
  return { content: await response.blob(), name };
}

/**
 * Sends a file as it is, telling how far it got; `fetch` cannot.
 * @param {string} path @param {File} file @param {Record<string, string>} headers @param {(share: number) => void} progress
 */
export function upload(path, file, headers, progress) {
  return new Promise((done, fail) => {
    const request = new XMLHttpRequest();
    request.open("PUT", `/api${path}`);
    for (const [name, value] of Object.entries(headers)) request.setRequestHeader(name, value);
    request.upload.onprogress = (event) => event.lengthComputable && progress(event.loaded / event.total);
    request.onerror = () => fail(new ApiError(0, "The connection broke off.", { cure: "Send the file again." }));
    request.onload = () => {
      let answer = null;
      try {
        answer = JSON.parse(request.responseText);
      } catch {
        // no JSON: the status alone tells
      }
      if (request.status < 300) done(answer);
      else
        fail(
          new ApiError(
            request.status,
            answer?.error?.message || `The desk answered ${request.status}.`,
            answer?.error ?? {},
          ),
        );
    };
    request.send(file);
  });
}

/** A failure in words: what, and what helps. */
export const told = ({ message, cure }) =>
  cure ? `${message.replace(/[.!?]?$/, (end) => end || ".")} ${cure}` : message;

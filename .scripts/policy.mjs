// The content security policy of the page: one place for the server, the built page and the tests.
const directives = [
  "default-src 'none'",
  "script-src 'self' 'wasm-unsafe-eval'",
  "style-src 'self'",
  "img-src 'self' blob: data:",
  "font-src 'self'",
  "connect-src 'self'",
  "worker-src 'self'",
  "manifest-src 'self'",
  "base-uri 'none'",
  "form-action 'none'",
];

/** For a meta element, which takes no frame-ancestors. */
export const metaPolicy = directives.join("; ");
/** For the header of the page and of every file but one. */
export const pagePolicy = `${metaPolicy}; frame-ancestors 'none'`;
/** For the worker that runs OpenCV alone: its loader builds functions from text. It still reaches no other origin. */
export const opencvPolicy =
  "default-src 'none'; script-src 'self' 'unsafe-eval' 'wasm-unsafe-eval'; connect-src 'self'";

/** The policy that goes with a file of the built page. */
export const policyOf = (file) => (/opencv/i.test(file) ? opencvPolicy : pagePolicy);

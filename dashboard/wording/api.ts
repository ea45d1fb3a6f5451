/** Words of the page on the API. */

export const API_TITLE = "What programs can ask";

export const API_INTRODUCTION = [
  "Every address gives JSON: what the pages show, by the names that the files and commands use. Lists come in parts, with the way to the next in the Link header (RFC 8288). An answer\u2019s ETag, sent back as If-None-Match, saves what has not changed.",
  "Programs sign in with a token: Authorization: Bearer. What a token may do and see is never more than its person may. What is amiss is told as problem details (RFC 9457), with the way out.",
];

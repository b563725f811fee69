import type { PageFiles } from './page-files.ts';
import { safetyHeaders } from './page-rules.ts';

/** The one origin the window shows. */
export const pageScheme = 'app';
const pageHost = 'fleet';
export const pageUrl = `${pageScheme}://${pageHost}/`;

/** Is this an address of our own page? Parsed, so that `app://fleet.elsewhere/` is not taken for it. */
export function isOurPage(address: string): boolean {
  const url = URL.parse(address);
  return url !== null && url.protocol === `${pageScheme}:` && url.host === pageHost && url.username === '';
}

/** Answers a request of the window with a file of the built page. */
export function answerPage(request: Request, pages: PageFiles): Response {
  if (!isOurPage(request.url)) return new Response('refused', { status: 403 });
  const file = request.method === 'GET' ? pages.get(new URL(request.url).pathname) : undefined;
  if (!file) return new Response('There is nothing here.', { status: 404, headers: safetyHeaders });
  return new Response(new Uint8Array(file.body), { headers: { ...safetyHeaders, 'content-type': file.type } });
}

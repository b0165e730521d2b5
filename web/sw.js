// Keeps the hosted page for starts without a network. Three promises:
// the page starts offline after one visit; it changes only when the person agrees; nothing else is kept or fetched.
//
// Every version of the page comes with its own version of this file, so a browser that finds a new one keeps the
// new page beside the one in use. Which one is in use is written down apart from both: closing all tabs, which lets
// the new file take over, still does not change the page.
//
// Messages from the page:  'hello'            answered with { newVersion, files }
//                          'use-new-version'  answered with { reload: true }, the person has agreed
'use strict';

const VERSION = 'PAGE_VERSION';
const FILES = ['./', 'manifest.webmanifest'];
const PREFIX = `farheard ${self.registration.scope} `; // several copies may live on one host
const NOTE = `${PREFIX}in use`;

let shared = []; // files shared to the installed page, until it asks for them

async function versionInUse() {
  const note = await (await caches.open(NOTE)).match('version');
  return note ? note.text() : VERSION;
}

async function use(version) {
  await (await caches.open(NOTE)).put('version', new Response(version));
  const kept = [NOTE, PREFIX + version, PREFIX + VERSION];
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name.startsWith(PREFIX) && !kept.includes(name)).map((name) => caches.delete(name)));
}

async function keepThisVersion() {
  const cache = await caches.open(PREFIX + VERSION);
  await cache.addAll(FILES.map((file) => new Request(file, { cache: 'reload' })));
  await self.skipWaiting();
}

async function takeOver() {
  await use(await versionInUse());
  await self.clients.claim();
  const newVersion = (await versionInUse()) !== VERSION;
  for (const client of await self.clients.matchAll()) client.postMessage({ newVersion });
}

async function answer(request) {
  const cache = await caches.open(PREFIX + (await versionInUse()));
  // what else stands on this host, such as a page that was shared, is not ours
  const { origin, pathname } = new URL(request.url);
  const own = [self.registration.scope, `${self.registration.scope}index.html`].includes(origin + pathname);
  const wanted = request.mode === 'navigate' && own ? './' : request;
  return (await cache.match(wanted, { ignoreSearch: true })) ?? fetch(request);
}

// The browser posts shared files to the page's address; the page gets them when it says hello.
async function takeShared(request) {
  shared = (await request.formData()).getAll('files');
  return Response.redirect('./', 303);
}

async function reply(client, message) {
  if (message === 'hello') {
    client.postMessage({ newVersion: (await versionInUse()) !== VERSION, files: shared });
    shared = [];
  } else if (message === 'use-new-version') {
    await use(VERSION);
    client.postMessage({ reload: true });
  }
}

self.addEventListener('install', (event) => event.waitUntil(keepThisVersion()));
self.addEventListener('activate', (event) => event.waitUntil(takeOver()));
self.addEventListener('message', (event) => event.waitUntil(reply(event.source, event.data)));
self.addEventListener('fetch', (event) => {
  if (event.request.method === 'GET') event.respondWith(answer(event.request));
  else if (event.request.method === 'POST' && event.request.mode === 'navigate') event.respondWith(takeShared(event.request));
});

import { render } from 'preact';
import { Shell } from './shell/shell.tsx';
import { followKeys } from './shell/keys.ts';
import { warmUp } from './store/answers.ts';
import { start } from './store/session.ts';
import { followAddress } from './store/view.ts';
import { tokenOf } from './store/bound-file.ts';

const place = document.getElementById('page');
if (place === null) throw new Error('the document has no place for the page');
warmUp();
followAddress();
followKeys();
render(<Shell />, place);
void start();

// The page of a bound file is only there while its server is; the static one stays without a network.
if ('serviceWorker' in navigator && tokenOf(location.href) === undefined) {
  navigator.serviceWorker.register('./offline.js').catch(() => undefined);
}

import { go } from '../store/view.ts';
import { VIEWS } from '../views.ts';

/** Within reach of a thumb: one thing at a time. */
export function PhoneSwitch({ shown }: { readonly shown: string }) {
  return (
    <nav class="phone-switch" aria-label="What to show">
      {VIEWS.filter(({ onPhone }) => onPhone).map(({ id, name }) => (
        <button key={id} type="button" aria-current={shown === id ? 'page' : undefined} onClick={() => go(id)}>{name}</button>
      ))}
    </nav>
  );
}

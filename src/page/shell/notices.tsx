import { isMachine, issues, good, text, readText } from '../store/document.ts';
import { conflict, firstVisit, notice, settle } from '../store/session.ts';
import { go } from '../store/view.ts';

/** What has to be told at the top of the page: a conflict, an error in the file, what happened to it. */
export function Notices() {
  const errors = issues.value.filter(({ severity }) => severity === 'error');
  const broken = readText.value === text.value && !isMachine.value && errors.length > 0;
  const [first] = errors;
  return (
    <div class="notices">
      {conflict.value === undefined ? null : (
        <section class="notice" role="alert">
          <p><b>{conflict.value.name} was changed on disk, in lines that you changed here too.</b> Whichever you keep, the other stays one step back: Undo brings it.</p>
          <p><button type="button" class="act" onClick={() => settle('mine')}>Keep mine</button> <button type="button" class="act quiet" onClick={() => settle('theirs')}>Take the one on disk</button></p>
        </section>
      )}
      {broken && first !== undefined ? (
        <section class="notice" role="alert">
          <p>
            <b>The file has {errors.length === 1 ? 'an error' : `${errors.length} errors`}.</b> Line {first.line}: expected {first.expected}, found {first.found}{first.hint === undefined ? '' : `; ${first.hint}`}{first.hint?.endsWith('?') === true ? '' : '.'}
            {good.value === undefined ? '' : ' What is shown belongs to the file before.'}{' '}
            <button type="button" class="plain" onClick={() => go('file')}>Show it in the file</button>
          </p>
        </section>
      ) : null}
      {firstVisit.value && good.value !== undefined ? (
        <section class="notice" role="status">
          <p>{good.value.machine.name} is a demo machine with flaws to find: nothing that you do to it can break anything. <button type="button" class="plain" onClick={() => { firstVisit.value = false; go('start'); }}>Make your own machine</button> <button type="button" class="plain" onClick={() => (firstVisit.value = false)}>Close</button></p>
        </section>
      ) : null}
      {notice.value === undefined ? null : (
        <section class="notice" role="status"><p>{notice.value} <button type="button" class="plain" onClick={() => (notice.value = undefined)}>Close</button></p></section>
      )}
    </div>
  );
}

import { test } from 'vitest';
import { crush } from './crush.ts';
import { askQuestions } from '../../src/questions/ask.ts';
test('crush', async () => {
    const t0 = performance.now();
    const answers = await askQuestions({ machine: crush(), text: '', samples: 20, seed: 1 });
    console.log((performance.now() - t0).toFixed(0));
    for (const a of answers) { console.log(a.id, a.verdict, a.says, a.figure, a.limit, a.margin, a.passes); for (const i of a.items) console.log('   ', i.slip ? 'slip' : '', i.verdict, i.where, i.figure?.value, i.limit, i.passes, i.says); for (const d of a.advice) console.log('  >', d.verdict, d.what, '=>', d.says, JSON.stringify(d.edits)); console.log(a.basis.join('\n')); console.log(a.notAProblem.join('\n'))}
});

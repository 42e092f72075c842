import { describe, expect, it } from 'vitest';
import { mergeTexts } from '../../src/page/store/merge.ts';

// Expected results are those that a person gives who joins the two versions by hand.
const BASE = ['a', 'b', 'c', 'd', 'e', 'f'].join('\n');

describe('joining two versions of a text', () => {
  it.each([
    ['changes of different lines', 'a\nB\nc\nd\ne\nf', 'a\nb\nc\nd\nE\nf', 'a\nB\nc\nd\nE\nf'],
    ['an insertion and a removal', 'a\nnew\nb\nc\nd\ne\nf', 'a\nb\nc\nd\ne', 'a\nnew\nb\nc\nd\ne'],
    ['the same change on both sides', 'a\nb\nX\nd\ne\nf', 'a\nb\nX\nd\ne\nf', 'a\nb\nX\nd\ne\nf'],
    ['the same change, and another one', 'a\nb\nX\nd\ne\nf', 'a\nb\nX\nd\ne\nF', 'a\nb\nX\nd\ne\nF'],
    ['nothing on one side', BASE, 'a\nc', 'a\nc'],
    ['nothing on the other', 'z', BASE, 'z'],
    ['one line at the very beginning and one at the very end', 'A\nb\nc\nd\ne\nf', 'a\nb\nc\nd\ne\nf\ng', 'A\nb\nc\nd\ne\nf\ng'],
  ])('%s', (_name, mine, theirs, joined) => {
    expect(mergeTexts(BASE, mine, theirs)).toEqual({ clean: true, text: joined });
    expect(mergeTexts(BASE, theirs, mine)).toEqual({ clean: true, text: joined });
  });

  it.each([
    ['one line changed in two ways', 'a\nB1\nc\nd\ne\nf', 'a\nB2\nc\nd\ne\nf'],
    ['neighbouring lines', 'a\nB\nc\nd\ne\nf', 'a\nb\nC\nd\ne\nf'],
    ['removed here, changed there', 'a\nc\nd\ne\nf', 'a\nB\nc\nd\ne\nf'],
    ['two insertions at one place', 'a\nx\nb\nc\nd\ne\nf', 'a\ny\nb\nc\nd\ne\nf'],
  ])('asks about %s', (_name, mine, theirs) => {
    expect(mergeTexts(BASE, mine, theirs)).toEqual({ clean: false });
    expect(mergeTexts(BASE, theirs, mine)).toEqual({ clean: false });
  });
});

import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { hold, hush, say, toasts } from '../../renderer/parts/toast.ts';

beforeEach(() => {
  vi.useFakeTimers();
});
afterEach(() => {
  hush();
  vi.useRealTimers();
});
const words = () => toasts.now()?.words ?? null;

test('a word passes; one that can be undone stays longer', () => {
  say('Kept.');
  vi.advanceTimersByTime(5_999);
  expect(words()).toBe('Kept.');
  vi.advanceTimersByTime(1);
  expect(words()).toBeNull();
  say('Changed.', () => {});
  vi.advanceTimersByTime(11_999);
  expect(words()).toBe('Changed.');
  vi.advanceTimersByTime(1);
  expect(words()).toBeNull();
});

test('while somebody is at it, it stays, and so does the next; its time begins anew when they leave', () => {
  say('Changed.', () => {});
  vi.advanceTimersByTime(11_000);
  hold(true);
  vi.advanceTimersByTime(600_000);
  expect(words()).toBe('Changed.');
  say('Changed again.', () => {});
  vi.advanceTimersByTime(600_000);
  expect(words()).toBe('Changed again.');
  hold(false);
  vi.advanceTimersByTime(11_999);
  expect(words()).toBe('Changed again.');
  vi.advanceTimersByTime(1);
  expect(words()).toBeNull();
});

test('one that was closed holds nothing: the next passes in its time', () => {
  say('Changed.', () => {});
  hold(true);
  hush();
  say('Kept.');
  vi.advanceTimersByTime(6_000);
  expect(words()).toBeNull();
});

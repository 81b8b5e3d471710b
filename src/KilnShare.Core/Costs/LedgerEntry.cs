using KilnShare.Core.Common;
using NodaTime;

namespace KilnShare.Core.Costs;

/// <summary>Why an entry was written.</summary>
public enum EntryKind
{
    /// <summary>A member's or the studio's part of a firing.</summary>
    Settlement,

    /// <summary>Takes an earlier entry back.</summary>
    Reversal,

    /// <summary>A member paid, or was paid out.</summary>
    Payment,

    /// <summary>A charge or credit outside a firing: damage, goodwill, clay.</summary>
    Adjustment,
}

/// <summary>One line of the ledger: an amount from one account to another. It is never changed; it can be reversed.</summary>
public sealed record LedgerEntry
{
    /// <summary>An entry; the amount must be above 0 and the two accounts different, so that an unbalanced ledger cannot be written.</summary>
    /// <exception cref="ArgumentException">Amount not above 0, or one account on both sides.</exception>
    public LedgerEntry(Instant at, EntryKind kind, Account debit, Account credit, long amountMinor, Currency currency, string subject, string part)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(amountMinor);
        if (debit == credit) throw new ArgumentException("Debit and credit are one account.", nameof(credit));
        (At, Kind, Debit, Credit, AmountMinor, Currency, Subject, Part) = (at, kind, debit, credit, amountMinor, currency, subject, part);
    }

    /// <summary>When it was written.</summary>
    public Instant At { get; }

    /// <summary>Why.</summary>
    public EntryKind Kind { get; }

    /// <summary>Whose balance grows.</summary>
    public Account Debit { get; }

    /// <summary>Whose balance falls.</summary>
    public Account Credit { get; }

    /// <summary>Minor units, above 0.</summary>
    public long AmountMinor { get; }

    /// <summary>Of the amount.</summary>
    public Currency Currency { get; }

    /// <summary>What it concerns, by opaque id: a firing, a payment, an incident.</summary>
    public string Subject { get; }

    /// <summary>The part of the cost, e.g. <c>energy</c>; the same on both sides.</summary>
    public string Part { get; }

    /// <summary>The entry that takes this one back.</summary>
    public LedgerEntry ReversedAt(Instant at) => new(at, EntryKind.Reversal, Credit, Debit, AmountMinor, Currency, Subject, Part);

    /// <summary>What a signed amount owed by an account becomes: a charge for a positive, a credit for a negative, nothing for 0.</summary>
    public static LedgerEntry? Owed(
        Instant at, EntryKind kind, Account by, Account to, long amountMinor, Currency currency, string subject, string part) =>
        amountMinor switch
        {
            0 => null,
            > 0 => new LedgerEntry(at, kind, by, to, amountMinor, currency, subject, part),
            _ => new LedgerEntry(at, kind, to, by, -amountMinor, currency, subject, part),
        };
}

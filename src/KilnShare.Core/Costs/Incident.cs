using KilnShare.Core.Common;
using NodaTime;

namespace KilnShare.Core.Costs;

/// <summary>What one party lost in an incident.</summary>
/// <param name="Member">Who lost; null: the studio (a shelf, an element).</param>
/// <param name="AmountMinor">What was agreed to be made good, minor units, above 0.</param>
/// <param name="What">In a word: <c>shelf</c>, <c>ware</c>.</param>
public sealed record Loss(string? Member, long AmountMinor, string What);

/// <summary>Ware that ran, burst or stuck and harmed the kiln or a neighbour's ware. Who caused it and what is made good, people settle.</summary>
/// <param name="Id">Opaque id of the incident.</param>
/// <param name="CausedBy">The member who makes it good; null: the studio does.</param>
/// <param name="Losses">What was lost.</param>
public sealed record Incident(string Id, string? CausedBy, IReadOnlyList<Loss> Losses)
{
    /// <summary>The ledger entries: from whoever makes it good to each who lost. A party's own loss moves no money.</summary>
    public IReadOnlyList<LedgerEntry> Entries(Instant at, Currency currency)
    {
        var payer = AccountOf(CausedBy);
        return Losses.Where(loss => AccountOf(loss.Member) != payer)
            .Select(loss => new LedgerEntry(at, EntryKind.Adjustment, payer, AccountOf(loss.Member), loss.AmountMinor, currency, Id, loss.What))
            .ToArray();
    }

    private static Account AccountOf(string? member) => member is null ? Account.StudioShare : Account.OfMember(member);
}

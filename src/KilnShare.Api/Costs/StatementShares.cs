using System.Globalization;
using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Costs;

/// <summary>What stands behind the lines of a statement that firings were settled with, by the settlement that wrote them.</summary>
internal sealed class StatementShares
{
    private readonly Dictionary<(string Firing, NodaTime.Instant At), FiringSettlement> settlements = [];
    private readonly string member;
    private readonly Func<FiringSettlement, bool> showsShare;

    private StatementShares(string member, Func<FiringSettlement, bool> showsShare) => (this.member, this.showsShare) = (member, showsShare);

    /// <summary>Reads the settlements of these entries of a member's account.</summary>
    public static async Task<StatementShares> Read(
        KilnShareDb db, Caller caller, Studio studio, Account account, IReadOnlyList<LedgerEntry> entries, CancellationToken cancellation)
    {
        var shares = new StatementShares(account.Member!, s => AmountsView.Of(studio.AmountsShownTo, caller.Role, caller.MemberId, s.Split).ShowsTotals);
        var firings = entries.Where(e => e.Kind == EntryKind.Settlement).Select(e => e.Subject).Distinct(StringComparer.Ordinal)
            .Select(s => new Id<Firing>(Guid.Parse(s))).ToList();
        if (firings.Count == 0) return shares;
        var settled = await db.Set<FiringSettlement>().AsNoTracking().Where(s => s.StudioId == caller.StudioId && firings.Contains(s.FiringId))
            .ToListAsync(cancellation);
        foreach (var settlement in settled) shares.settlements[(settlement.FiringId.ToString(), settlement.SettledAt)] = settlement;
        return shares;
    }

    /// <summary>What stands behind an entry; null where it was not written by a settlement.</summary>
    public StatementShareContract? Of(LedgerEntry entry)
    {
        if (entry.Kind != EntryKind.Settlement || !settlements.TryGetValue((entry.Subject, entry.At), out var settlement)) return null;
        var uses = settlement.Basis.Uses;
        var use = uses.FirstOrDefault(u => string.Equals(u.Id, member, StringComparison.Ordinal));
        var all = uses.Sum(u => u.VolumeCm3 ?? 0);
        var percent = showsShare(settlement) && use?.VolumeCm3 is { } volume && all > 0 ? decimal.Round(volume * 100 / all, 1) : (decimal?)null;
        var energy = string.Equals(entry.Part, CostRules.EnergyPart, StringComparison.Ordinal) ? EnergyOf(settlement) : null;
        return new StatementShareContract
        {
            Pieces = use?.Pieces,
            SharePercent = percent,
            EnergyKwh = energy?.Kwh,
            PerKwh = energy?.PerKwh,
            Words = string.Join(", ", Words(use?.Pieces, percent, energy, settlement.Currency)),
        };
    }

    /// <summary>The member's part of the firing's energy, and the price of a kWh of it.</summary>
    private (decimal Kwh, string PerKwh)? EnergyOf(FiringSettlement settlement)
    {
        var parts = settlement.Split.Shares.SelectMany(s => s.Parts.Select(p => (s.Id, Part: p)))
            .Where(p => string.Equals(p.Part.Name, CostRules.EnergyPart, StringComparison.Ordinal)).ToList();
        var (own, all) = (parts.Where(p => string.Equals(p.Id, member, StringComparison.Ordinal))
            .Sum(p => p.Part.AmountMinor), parts.Sum(p => p.Part.AmountMinor));
        if (all == 0) return null;
        var mean = settlement.Basis.Billed is { Kwh: > 0 } billed
            ? decimal.Round(StatementPapers.Major(billed.AmountMinor, Currency.Parse(settlement.Currency)!.Value) / billed.Kwh, 4) : settlement.Basis.PerKwh;
        return (decimal.Round(settlement.EnergyKwh * own / all, 3), Prices.Write(mean));
    }

    private static IEnumerable<string> Words(long? pieces, decimal? percent, (decimal Kwh, string PerKwh)? energy, string currency)
    {
        if (pieces is { } count) yield return count == 1 ? "1 piece" : string.Create(CultureInfo.InvariantCulture, $"{count} pieces");
        if (percent is { } room) yield return string.Create(CultureInfo.InvariantCulture, $"{room:0.#} % of the room");
        if (energy is var (kwh, perKwh)) yield return string.Create(CultureInfo.InvariantCulture, $"{kwh:0.###} kWh at {perKwh} {currency}");
    }
}

using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Costs;
using KilnShare.Storage;
using KilnShare.Storage.Costs;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Costs;

/// <summary>An account and what it stands at.</summary>
public sealed record AccountAnswer
{
    /// <summary>What it is for.</summary>
    public required AccountKind Kind { get; init; }

    /// <summary>The member; null for the studio's own accounts.</summary>
    public required Guid? MemberId { get; init; }

    /// <summary>Minor units: above 0 the member owes the studio.</summary>
    public required long BalanceMinor { get; init; }
}

/// <summary>The books.</summary>
public static class AccountEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapAccounts(this RouteGroupBuilder studio) => studio.MapGet("/accounts", List)
        .WithTags("Costs").WithName("listAccounts").Answers<Page<AccountAnswer>>();

    /// <summary>List the accounts with their balances</summary>
    private static async Task<IResult> List(Caller caller, KilnShareDb db, CancellationToken cancellation)
    {
        var accounts = await db.Set<AccountRow>().AsNoTracking().Where(a => a.StudioId == caller.StudioId).Select(a => a.Account).ToListAsync(cancellation);
        var debits = await SumBy(db, "Debit", cancellation);
        var credits = await SumBy(db, "Credit", cancellation);
        return TypedResults.Ok(new Page<AccountAnswer>
        {
            Items = [.. accounts.Select(a => new AccountAnswer
            {
                Kind = a.Kind,
                MemberId = a.Member is null ? null : Guid.Parse(a.Member),
                BalanceMinor = debits.GetValueOrDefault(a) - credits.GetValueOrDefault(a),
            })],
            Next = null,
        });
    }

    private static Task<Dictionary<Account, long>> SumBy(KilnShareDb db, string side, CancellationToken cancellation) =>
        db.Set<LedgerEntry>().GroupBy(e => EF.Property<Account>(e, side)).Select(g => new { g.Key, Sum = g.Sum(e => e.AmountMinor) })
            .ToDictionaryAsync(g => g.Key, g => g.Sum, cancellation);
}

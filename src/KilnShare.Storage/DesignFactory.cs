using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Design;

namespace KilnShare.Storage;

/// <summary>Lets the migrations tool build the model without a database.</summary>
public sealed class DesignFactory : IDesignTimeDbContextFactory<KilnShareDb>
{
    /// <inheritdoc/>
    public KilnShareDb CreateDbContext(string[] args)
    {
        var options = new DbContextOptionsBuilder<KilnShareDb>();
        KilnShareDb.Configure(options, KilnShareDb.Connect("Host=127.0.0.1;Port=1;Username=none"));
        return new KilnShareDb(options.Options);
    }
}
